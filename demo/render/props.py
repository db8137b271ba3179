"""What stands round the parts: bench, light, chuck, tools, gauges, trays, swarf, candles.

All of it is plain invented geometry without names or marks. Millimetres; z is up; on the bench
the camera looks along +y; at the lathe the spindle is the x axis and the chuck's face is x = 0.
"""

from __future__ import annotations

from math import cos, degrees, pi, radians, sin
from random import Random
from typing import Any

import bpy
import materials as m
import profiles
from mathutils import Vector
from shapes import MM, Triple, box, copy, fluted, lathe, place, prism, ribbon, rod, surface, words

# ---------------------------------------------------------------- light and camera


def camera(
    at: Triple,
    look: Triple,
    lens: float = 60,
    fstop: float = 4.0,
    focus: Triple | None = None,
    roll: float = 0.0,
) -> None:
    data = bpy.data.cameras.new("camera")
    data.lens = lens
    data.clip_start = 0.005
    data.dof.use_dof = True
    data.dof.aperture_fstop = fstop
    data.dof.aperture_blades = 7
    found = bpy.data.objects.new("camera", data)
    bpy.context.scene.collection.objects.link(found)
    here, there = Vector(at) * MM, Vector(look) * MM
    found.location = here
    found.rotation_euler = (there - here).to_track_quat("-Z", "Y").to_euler()
    found.rotation_euler.rotate_axis("Z", radians(roll))
    sharp = Vector(focus if focus is not None else look) * MM
    axis = (there - here).normalized()
    data.dof.focus_distance = (sharp - here).dot(axis)
    bpy.context.scene.camera = found


def lamp(
    at: Triple,
    look: Triple,
    watts: float,
    size: tuple[float, float],
    colour: m.Colour = (1, 1, 1),
    round_shape: bool = False,
) -> Any:
    data = bpy.data.lights.new("lamp", "AREA")
    data.energy = watts
    data.color = colour
    data.shape = "ELLIPSE" if round_shape else "RECTANGLE"
    data.size, data.size_y = size[0] * MM, size[1] * MM
    found = bpy.data.objects.new("lamp", data)
    bpy.context.scene.collection.objects.link(found)
    here, there = Vector(at) * MM, Vector(look) * MM
    found.location = here
    found.rotation_euler = (there - here).to_track_quat("-Z", "Y").to_euler()
    return found


DAY: m.Colour = (0.82, 0.91, 1.0)
WARM: m.Colour = (1.0, 0.72, 0.42)
NEUTRAL: m.Colour = (1.0, 0.95, 0.88)


def surroundings(strength: float = 0.25, warm: float = 0.3) -> None:
    """A dim room all round: paler above, brown below, with soft dark and light patches."""
    world = bpy.data.worlds.new("room")
    world.use_nodes = True
    bpy.context.scene.world = world
    n = m.Nodes(world.node_tree)
    ray = n.add("TexCoord").outputs["Generated"]
    up = n.add("SeparateXYZ", {"0": ray}).outputs["Z"]
    patch = n.noise(ray, 2.3, 2.0)
    tone = n.math("ADD", n.between(up, 0.2, 0.8), n.between(patch, -0.45, 0.45))
    colour = n.ramp(
        tone,
        [
            (0.1, (0.05, 0.04, 0.03)),
            (0.5, (0.28 + 0.15 * warm, 0.27, 0.27 - 0.1 * warm)),
            (0.95, (0.9, 0.88, 0.84)),
        ],
    )
    world.cycles.sampling_method = "MANUAL"
    world.cycles.sample_map_resolution = 128
    background = world.node_tree.nodes["Background"]
    world.node_tree.links.new(colour, background.inputs["Color"])
    background.inputs["Strength"].default_value = strength


def window(
    at: Triple,
    look: Triple,
    watts: float,
    size: tuple[float, float] = (700, 950),
    colour: m.Colour = DAY,
) -> None:
    """A tall window with glazing bars, so that round metal shows panes and not a blank."""
    light = lamp(at, look, watts, size, colour)
    frame = m.plain((0.05, 0.045, 0.04), 0.6)
    toward = (Vector(look) - Vector(at)).normalized()
    centre = Vector(at) + toward * 25
    w, h = size
    for bar_size, dx, dy in (
        ((34.0, h, 20.0), 0.0, 0.0),
        ((w, 30.0, 20.0), 0.0, h * 0.17),
    ):
        bar = box(bar_size, frame, (0, 0, 0), 0)
        bar.rotation_euler = light.rotation_euler
        offset = Vector((dx, dy, 0))
        offset.rotate(light.rotation_euler)
        bar.location = (centre + offset) * MM


# ---------------------------------------------------------------- the room behind


def clutter(seed: int, y: float = 430, count: int = 16, spread: float = 520, z: float = 0) -> None:
    """Tins, jars, handles and boxes at the back of the bench, always out of focus."""
    luck = Random(seed)
    colours: list[m.Colour] = [
        (0.30, 0.045, 0.03),
        (0.03, 0.09, 0.17),
        (0.42, 0.27, 0.06),
        (0.05, 0.11, 0.07),
        (0.30, 0.29, 0.27),
        (0.10, 0.10, 0.10),
        (0.36, 0.20, 0.10),
        (0.5, 0.47, 0.40),
    ]
    for i in range(count):
        x = -spread + 2 * spread * (i + luck.random() * 0.8) / count
        back = y + luck.uniform(-40, 130)
        paint = m.plain(luck.choice(colours), luck.uniform(0.25, 0.6))
        kind = luck.random()
        if kind < 0.35:
            r, h = luck.uniform(18, 38), luck.uniform(60, 150)
            rod(r, h, paint, (x, back, z), edge=3)
            rod(r * 0.7, 14, m.plain((0.6, 0.58, 0.55), 0.3, 1.0), (x, back, z + h), edge=2)
        elif kind < 0.65:
            box(
                (luck.uniform(50, 120), luck.uniform(40, 70), luck.uniform(30, 120)),
                paint,
                (x, back, z + 40),
                2,
                (0, 0, luck.uniform(-25, 25)),
            )
        else:
            lean = luck.uniform(-14, 14)
            rod(
                luck.uniform(7, 12),
                luck.uniform(70, 110),
                paint,
                (x, back, z + 70),
                (lean, lean, 0),
                3,
            )
            rod(3, 110, m.plain((0.55, 0.54, 0.52), 0.25, 1.0), (x, back, z), (lean, lean, 0))


def wall(y: float = 620, colour: m.Colour = (0.30, 0.285, 0.255)) -> None:
    surface((2600, 1500), m.plain(colour, 0.7), (0, y, 300), (90, 0, 0))


def bench(
    top: Any,
    seed: int = 1,
    seat: float = 0.0,
    back: bool = True,
    slide: tuple[float, float] = (0, 0),
) -> None:
    """A bench top at z = `seat`, a wall and clutter behind."""
    surface((2200, 1500), top, (slide[0], 200 + slide[1], seat))
    if back:
        wall()
        clutter(seed)
        shelf = m.plain((0.22, 0.14, 0.075), 0.5)
        box((1500, 150, 22), shelf, (0, 560, 250), 1)
        clutter(seed + 50, 540, 12, 600, 262)


def shop_light(
    day: float = 26, glow: float = 9, warm_side: float = 1.0, fill: float = 0.22
) -> None:
    """Tall window on the left, a warm bench lamp on the right."""
    surroundings(fill)
    window((-900, -160, 620), (0, 0, 40), day)
    lamp((430 * warm_side, -40, 520), (0, 20, 0), glow, (120, 120), WARM, True)
    lamp((150, 700, 700), (0, 0, 40), day * 0.16, (900, 200), NEUTRAL)


# ---------------------------------------------------------------- lathe


def chuck(grip: float, reach: float = 26.0, turn: float = 17.0) -> None:
    """A three-jaw chuck, axis x, face at x = 0, holding a bar of radius `grip`."""
    body = m.turned(m.STEEL, feed=0.5, marks=0.7, rough=0.32, aniso=0.6, stain=0.25)
    outline = [
        (62.5, -55.0), (62.5, -34.0), (61.5, -33.4), (61.5, -31.6), (62.5, -31.0), (62.5, -2.0),
        (60.5, 0.0), (52.0, 0.0), (51.6, -0.8), (50.2, -0.8), (49.8, 0.0), (17.5, 0.0),
        (16.0, -2.0), (16.0, -55.0),
    ]  # fmt: skip
    place(lathe(outline, body, 0.6, 160), (0, 0, 0), (0, 90, 0))
    dark = m.plain((0.02, 0.02, 0.02), 0.5)
    jaw_steel = m.ground((0.42, 0.41, 0.40), 0.26)
    for k in range(3):
        angle = turn + 120 * k
        spin = (angle, 0, 0)

        def around(x: float, r: float, a: float = angle) -> Triple:
            return (x, -r * sin(radians(a)), r * cos(radians(a)))

        box((0.8, 22.5, 46), dark, around(0.1, 39.5), 0, spin)  # slot
        top = grip
        sizes = ((reach, 13.0), (reach * 0.66, 12.0), (reach * 0.36, max(4.0, 57 - grip - 25)))
        for height, depth in sizes:
            box(
                (height, 17.5, depth + 0.6),
                jaw_steel,
                around(height / 2, top + depth / 2),
                0.7,
                spin,
            )
            top += depth
        head = [(4.6, 0), (4.6, 0.4), (2.4, 0.4), (2.4, -2.5), (0, -2.5), (0, -3)]
        screw = lathe(head, m.plain((0.05, 0.05, 0.05), 0.35, 1.0), 0.2, 32)
        place(screw, around(-0.2, 42.0, angle + 60), (0, 90, 0))
        rod(5.2, 3, dark, around(-18, 60.2, angle + 60), (angle + 60, 0, 0))  # for the key


def headstock(colour: m.Colour = (0.13, 0.20, 0.19), seed: int = 3) -> None:
    """The machine behind the chuck: painted casting, ways, a splash guard, a few bright knobs."""
    enamel = m.plain(colour, 0.38)
    box((260, 300, 330), enamel, (-200, 60, -20), 14)
    rod(44, 20, m.ground(), (-76, 0, 0), (0, 90, 0))
    ways = m.ground((0.42, 0.41, 0.40), 0.3)
    for y in (-50, 70):
        box((1400, 46, 40), ways, (400, y, -190), 3)
    box((1400, 80, 60), enamel, (400, 10, -215), 3)
    surface((2400, 1800), m.plain((0.045, 0.043, 0.04), 0.5), (200, 0, -330))
    surface((2600, 1400), m.plain((0.24, 0.235, 0.215), 0.7), (200, 520, 100), (90, 0, 0))
    clutter(seed, 420, 12, 560, -120)
    box((1300, 160, 20), m.plain((0.2, 0.125, 0.065), 0.5), (150, 450, -130), 1)
    luck = Random(seed)
    for i in range(6):
        x = 120 + 90 * i
        rod(5, 12, m.plain((0.5, 0.06, 0.04), 0.3), (x, 400 + 20 * luck.random(), 60), (90, 0, 0))
    box((900, 360, 8), m.plain((0.06, 0.06, 0.058), 0.35, 0.7), (330, 20, -300), 2)  # chip pan


SLIDE = -72.0  # top of the cross slide, where the chips come to lie


def cross_slide(x: float) -> None:
    """The slide under the work, with its dovetail strip and a T-slot."""
    iron = m.ground((0.33, 0.325, 0.32), 0.36)
    box((150, 330, 36), iron, (x, -60, SLIDE - 18), 2)
    box((210, 250, 40), m.plain((0.13, 0.20, 0.19), 0.38), (x, -40, SLIDE - 58), 4)
    box((11, 200, 1), m.plain((0.03, 0.03, 0.03), 0.5), (x + 40, 20, SLIDE - 0.3), 0)


def lathe_light(day: float = 24, glow: float = 14, fill: float = 0.2) -> None:
    surroundings(fill)
    window((520, -900, 640), (30, 0, 0), day, (900, 700))
    lamp((170, -190, 330), (20, 0, 0), glow, (90, 90), WARM, True)
    lamp((-60, 520, 420), (20, 0, 0), day * 0.3, (700, 160), NEUTRAL)


def tailstock(point: float) -> None:
    """A live centre whose tip is at x = `point`, and the barrel behind it."""
    bright = m.turned(m.STEEL, feed=0.3, marks=0.5, rough=0.22)
    tip = [(0, 0), (6.5, 11), (6.5, 16), (15, 18), (16, 20), (16, 52), (13, 54), (13, 62), (0, 62)]
    place(lathe(tip, bright, 0.4), (point, 0, 0), (0, 90, 0))
    rod(17, 200, m.ground(), (point + 60, 0, 0), (0, 90, 0))
    box((150, 100, 150), m.plain((0.13, 0.20, 0.19), 0.38), (point + 190, 0, -20), 16)


def turning_tool(tip: Triple, gold: bool = True) -> None:
    """A right-hand tool coming from the front (-y); its point is at `tip`."""
    x, y, z = tip
    shank = m.plain((0.045, 0.043, 0.042), 0.34, 0.9)
    insert = m.plain((0.75, 0.50, 0.16) if gold else (0.10, 0.10, 0.11), 0.28, 1.0)
    outline = [(-0.35, 0.0), (0.35, 0.0), (8.2, -7.2), (0.2, -15.0), (-7.8, -7.4)]
    prism(outline, 3.2, insert, (x, y, z - 3.0), (0, 0, 12), 0.25)
    holder = [
        (-7.6, -9.0),
        (0, -13.5),
        (8.0, -8.6),
        (9.2, -14),
        (9.2, -82),
        (-9.2, -82),
        (-9.2, -14),
    ]
    prism(list(reversed(holder)), 15.5, shank, (x, y, z - 18.4), (0, 0, 6), 0.6)
    rod(2.6, 1.4, m.plain((0.3, 0.3, 0.3), 0.3, 1.0), (x + 1.4, y - 7.6, z))
    rod(1.3, 0.2, m.plain((0.02, 0.02, 0.02), 0.5), (x + 1.4, y - 7.6, z + 1.35))
    post = m.ground((0.30, 0.295, 0.29), 0.34)
    box((62, 62, 46), post, (x + 8, y - 92, z - 14), 1.6, (0, 0, 6))
    for dx in (-16, 6, 26):
        rod(
            4.4,
            12,
            m.plain((0.10, 0.10, 0.10), 0.32, 1.0),
            (x + dx + 4, y - 74, z + 9),
            (0, 0, 0),
            0.8,
            6,
        )
    box((96, 96, 36), m.ground((0.34, 0.335, 0.33), 0.36), (x + 10, y - 96, z - 55), 2)
    cross_slide(x + 10)


def boring_bar(tip: Triple, radius: float = 4.0, length: float = 120.0) -> None:
    """A round bar along x from the right; its cutting point looks to the front (-y)."""
    x, y, z = tip
    steel = m.plain((0.09, 0.088, 0.086), 0.30, 1.0)
    rod(radius, length, steel, (x + 0.6, y + radius + 0.8, z - 0.5), (0, 90, 0), 0.5)
    insert = m.plain((0.75, 0.50, 0.16), 0.28, 1.0)
    prism(
        [(0, 0), (5.4, 1.2), (3.6, 6.0), (-0.4, 5.6)], 2.2, insert, (x, y, z - 1.2), (0, 0, 0), 0.2
    )
    box((60, 34, 40), m.ground((0.30, 0.295, 0.29), 0.34), (x + length - 8, y + radius, z), 1.6)
    for dx in (-18, 0, 18):
        bolt = m.plain((0.1, 0.1, 0.1), 0.32, 1.0)
        rod(4, 10, bolt, (x + length - 8 + dx, y + radius, z + 20), (0, 0, 0), 0.8, 6)
    box((80, 70, 54), m.ground((0.34, 0.335, 0.33), 0.36), (x + length, y + radius, z - 45), 2)
    cross_slide(x + length - 30)


def tap_tool(radius: float = 3.0, length: float = 70.0) -> Any:
    """A hand tap, point down at z = 0."""

    def shape(a: float, z: float) -> float:
        if z > 26:
            return radius * 0.95
        r = radius - 0.55 * abs(2 * ((z + a / (2 * pi)) % 1.0) - 1)
        if z < 6:
            r -= 0.09 * (6 - z)
        flute = max(0.0, cos(3 * a)) ** 3
        return r - flute * radius * (0.42 if z < 22 else 0.42 * (26 - z) / 4)

    return fluted(length, shape, m.ground((0.5, 0.49, 0.47), 0.22), 420, 72)


def drill_tool(radius: float = 2.5, length: float = 80.0) -> Any:
    """A twist drill, point down at z = 0."""

    def shape(a: float, z: float) -> float:
        point = min(1.0, z / (radius * 0.6))
        if z > length * 0.62:
            return radius
        twist = 2 * (a - z / (radius * 1.55))
        return max(0.02, point * (radius - radius * 0.62 * max(0.0, cos(twist)) ** 0.7))

    return fluted(length, shape, m.ground((0.45, 0.42, 0.36), 0.22), 420, 72)


# ---------------------------------------------------------------- swarf


def swarf(kind: str, count: int, middle: Triple, spread: Triple, seed: int) -> None:
    """Chips: 'brass' breaks into crumbs, 'steel' comes in curls."""
    luck = Random(seed)
    colour = m.BRASS if kind == "brass" else (0.52, 0.50, 0.47)
    metal = m.plain(colour, 0.24, 1.0)
    straw = m.plain((0.40, 0.32, 0.20), 0.25, 1.0)
    makers: list[Any] = []
    for _ in range(7):
        turns = luck.uniform(0.5, 1.1) if kind == "brass" else luck.uniform(1.5, 5.0)
        r = luck.uniform(0.7, 1.8) if kind == "brass" else luck.uniform(1.4, 3.4)
        rise = luck.uniform(0.6, 1.2) if kind == "brass" else luck.uniform(1.6, 2.6)
        steps = int(18 * turns) + 6
        path = []
        for i in range(steps):
            a = 2 * pi * turns * i / steps
            rr = r * (1 + 0.25 * sin(a * 0.37))
            path.append((rr * cos(a), rr * sin(a), rise * a / (2 * pi)))
        width = luck.uniform(0.5, 1.1) if kind == "brass" else luck.uniform(0.8, 1.6)
        makers.append(
            ribbon(path, width, straw if kind == "steel" and luck.random() < 0.15 else metal)
        )
    used: set[int] = set()
    for _ in range(count):
        which = luck.randrange(len(makers))
        lying = 1.0 if kind == "brass" else 2.2
        at = (
            middle[0] + luck.gauss(0, spread[0] / 2),
            middle[1] + luck.gauss(0, spread[1] / 2),
            middle[2] + lying + abs(luck.gauss(0, spread[2] / 2)),
        )
        turn = (
            luck.choice((90, 80, 60)) + luck.uniform(-20, 20),
            luck.uniform(0, 40),
            luck.uniform(0, 360),
        )
        if which not in used:
            used.add(which)
            place(makers[which], at, turn)
        else:
            copy(makers[which], at, turn)
    for i, thing in enumerate(makers):
        if i not in used:
            thing.hide_render = True


# ---------------------------------------------------------------- gauges


def caliper(opening: float, at: Triple, turn: Triple, reading: str) -> None:
    """A digital caliper lying flat: fixed jaw's measuring face at x = 0, jaws along -y."""
    base = bpy.data.objects.new("caliper", None)
    bpy.context.scene.collection.objects.link(base)
    before = set(bpy.data.objects)
    steel = m.ground((0.55, 0.54, 0.52), 0.24)
    dark = m.plain((0.012, 0.012, 0.013), 0.38)
    o = opening
    prism([(-14, 0), (205, 0), (205, 16), (-14, 16)], 3.4, steel, bevel=0.3)
    fixed = [(-14, 16), (-14, -6), (-11, -26), (-2.2, -40), (0, -40), (0, 0), (0, 16)]
    prism(fixed, 3.5, steel, (0, 0, -0.02), bevel=0.3)
    prism([(-14, 16), (-3, 16), (-3, 22), (-5.5, 31), (-6.5, 31), (-8, 22), (-14, 20)], 2.2, steel)
    moving = [
        (o, 16.4),
        (o, -40),
        (o + 2.2, -40),
        (o + 11, -26),
        (o + 14, -6),
        (o + 60, -4),
        (o + 60, 16.4),
    ]
    prism(moving, 3.4, steel, (0, 0, 0.35), bevel=0.3)
    prism(
        [
            (o + 4, 16),
            (o - 3 + 0, 16),
            (o - 3, 22),
            (o - 0.6, 31),
            (o + 0.4, 31),
            (o + 2, 22),
            (o + 12, 20),
        ][::-1],
        2.0,
        steel,
        (0, 0, 1.4),
    )
    body = [
        (o + 8, -7),
        (o + 70, -7),
        (o + 73, -3),
        (o + 73, 19),
        (o + 70, 22),
        (o + 8, 22),
        (o + 5, 19),
        (o + 5, -3),
    ]
    prism(body, 7.0, dark, (0, 0, 3.0), bevel=1.2)
    box((38, 14, 0.6), m.plain((0.35, 0.36, 0.35), 0.25, 1.0), (o + 32, 9, 10.1), 0.2)
    box((35, 11.6, 0.4), m.plain((0.34, 0.37, 0.31), 0.18), (o + 32, 9, 10.35), 0.1)
    words(reading, 9.5, m.plain((0.012, 0.013, 0.012), 0.4), (o + 31, 9, 10.58))
    for k in range(3):
        box((8, 4.6, 1.0), m.plain((0.42, 0.42, 0.43), 0.4), (o + 20 + 12 * k, -2.2, 10.2), 0.4)
    rod(4.2, 6, steel, (o + 60, -9.5, 3.5), (0, 0, 0), 0.6)
    ink = m.plain((0.03, 0.03, 0.03), 0.5)
    for k in range(int(o) + 78, 200, 1):
        long = 5.0 if k % 10 == 0 else 3.4 if k % 5 == 0 else 2.2
        box((0.16, long, 0.05), ink, (k, 0.6 + long / 2, 3.42), 0)
        if k % 10 == 0:
            words(str(k), 3.2, ink, (k, 8.2, 3.42))
    for thing in set(bpy.data.objects) - before:
        thing.parent = base
    place(base, at, turn)


def micrometer(opening: float, at: Triple, turn: Triple) -> None:
    """An outside micrometer in its own x-y plane: anvil at x = 0, spindle from +x, bow to -y."""
    base = bpy.data.objects.new("micrometer", None)
    bpy.context.scene.collection.objects.link(base)
    before = set(bpy.data.objects)
    bright = m.turned(m.STEEL, feed=0.2, marks=0.25, rough=0.2)
    enamel = m.paint((0.028, 0.032, 0.036), 0.42)
    o = opening
    outline = []
    for i in range(25):  # outer bow
        a = pi + pi * i / 24
        outline.append((12.5 + 25.5 * cos(a), -2 + 32 * sin(a)))
    outline += [(38, 5), (29, 5)]
    for i in range(25):
        a = 2 * pi - pi * i / 24
        outline.append((12.5 + 16.5 * cos(a), -3 + 20 * sin(a)))
    outline += [(-4, 5), (-13, 5)]
    prism(outline, 8.0, enamel, (0, 0, -4), bevel=1.2)
    rod(3.2, 13, bright, (0, 0, 0), (0, -90, 0))
    rod(3.2, 32 - o, bright, (o, 0, 0), (0, 90, 0))
    rod(5.2, 26, m.turned(m.STEEL, 0.2, 0.2, 0.24), (33, 0, 0), (0, 90, 0))
    place(
        lathe([(6.2, 0), (7.6, 5), (7.6, 36), (0, 36), (0, 0)], bright, 0.4),
        (46 + o * 0.5, 0, 0),
        (0, 90, 0),
    )
    place(
        lathe([(3.6, 0), (3.6, 14), (0, 14), (0, 0)], m.turned(m.STEEL, 0.8, 2.0, 0.3), 0.4),
        (82 + o * 0.5, 0, 0),
        (0, 90, 0),
    )
    ink = m.plain((0.02, 0.02, 0.02), 0.5)
    for k in range(50):
        a = radians(k * 7.2)
        r = 6.95
        line = 3.4 if k % 5 == 0 else 2.2
        tick = box(
            (line, 0.14, 0.14),
            ink,
            (
                46 + o * 0.5 + line / 2 + 0.4,
                r * sin(a) * (0.93 + 0.03 * line),
                r * cos(a) * (0.93 + 0.03 * line),
            ),
            0,
        )
        tick.rotation_euler = (-a, -0.27, 0)
    for k in range(1, 13):
        box((0.14, 2.6, 0.1), ink, (33 + k, 0.9 if k % 2 else -0.9, 5.15), 0)
    for thing in set(bpy.data.objects) - before:
        thing.parent = base
    place(base, at, turn)


def bore_gauge(
    at: Triple, radius: float = 10.9, turn: Triple = (0, 0, 0), needle: float = 8.0
) -> None:
    """A dial bore gauge standing in a bore whose floor is about at `at`."""
    base = bpy.data.objects.new("bore gauge", None)
    bpy.context.scene.collection.objects.link(base)
    before = set(bpy.data.objects)
    bright = m.turned(m.STEEL, feed=0.2, marks=0.2, rough=0.2)
    black = m.plain((0.015, 0.015, 0.016), 0.4)
    rod(min(7.0, radius * 0.62), 18, bright, (0, 0, 3))
    rod(1.6, radius * 2, bright, (-radius, 0, 9), (0, 90, 0), 0.8)
    rod(3.2, 90, bright, (0, 0, 20))
    place(
        lathe([(6, 0), (7.5, 3), (6.6, 20), (7.5, 42), (6, 46), (0, 46), (0, 0)], black, 1.0),
        (0, 0, 66),
    )
    rod(4, 16, bright, (0, 0, 110))
    face = m.plain((0.78, 0.77, 0.74), 0.35)
    ink = m.plain((0.02, 0.02, 0.02), 0.5)
    z = 148.0
    place(
        lathe(
            [(25, 0), (27.5, 2), (27.5, 12), (25, 15), (23.6, 15), (23.6, 12.4), (0, 12.4), (0, 0)],
            bright,
            0.6,
        ),
        (0, 8, z),
        (90, 0, 0),
    )
    rod(23.4, 0.3, face, (0, -4.5, z), (90, 0, 0), 0.05)
    for k in range(100):
        a = radians(k * 3.6)
        long = 3.6 if k % 10 == 0 else 2.2
        r = 22 - long / 2
        box(
            (0.28 if k % 10 == 0 else 0.16, 0.08, long),
            ink,
            (r * sin(a), -4.9, z + r * cos(a)),
            0,
            (0, degrees(a), 0),
        )
        if k % 10 == 0:
            words(
                str(k if k <= 50 else 100 - k),
                3.4,
                ink,
                (15.4 * sin(a), -4.9, z + 15.4 * cos(a)),
                (90, 0, 0),
            )
    a = radians(needle)
    box(
        (0.5, 0.2, 19),
        m.plain((0.25, 0.02, 0.015), 0.4),
        (8 * sin(a), -5.4, z + 8 * cos(a)),
        0.05,
        (0, needle, 0),
    )
    rod(1.6, 1.0, black, (0, -5.0, z), (90, 0, 0))
    glass = rod(23.5, 0.2, None, (0, -6.4, z), (90, 0, 0), 0.02)
    glass.hide_render = True
    for thing in set(bpy.data.objects) - before:
        thing.parent = base
    place(base, at, turn)


def plug_gauge(radius: float, at: Triple, turn: Triple) -> None:
    """A go / no-go plug gauge lying on its side."""
    steel = m.turned(m.STEEL, feed=0.15, marks=0.12, rough=0.12, aniso=0.4)
    grip = m.ground((0.4, 0.39, 0.38), 0.3)
    base = bpy.data.objects.new("plug gauge", None)
    bpy.context.scene.collection.objects.link(base)
    before = set(bpy.data.objects)
    rod(radius, 24, steel, (-50, 0, 0), (0, 90, 0), 0.6)
    place(lathe(profiles.bar(6.5, 52), grip, 1.0, 6), (-26, 0, 0), (0, 90, 0))
    rod(radius + 0.02, 12, steel, (26, 0, 0), (0, 90, 0), 0.6)
    place(
        lathe(profiles.bar(6.7, 3.0), m.plain((0.45, 0.03, 0.02), 0.4), 0.3, 6),
        (20, 0, 0),
        (0, 90, 0),
    )
    for thing in set(bpy.data.objects) - before:
        thing.parent = base
    place(base, at, turn)


# ---------------------------------------------------------------- trays, marks, candles


def tray(
    size: tuple[float, float], at: Triple, material: Any, high: float = 26, turn: float = 0
) -> None:
    w, d = size
    base = bpy.data.objects.new("tray", None)
    bpy.context.scene.collection.objects.link(base)
    sides = [
        box((w, d, 2), material, (0, 0, 1), 0.8),
        box((w, 2.4, high), material, (0, -d / 2, high / 2), 1.1),
        box((w, 2.4, high), material, (0, d / 2, high / 2), 1.1),
        box((2.4, d, high), material, (-w / 2, 0, high / 2), 1.1),
        box((2.4, d, high), material, (w / 2, 0, high / 2), 1.1),
        rod(2.6, w, material, (-w / 2, -d / 2, high), (0, 90, 0)),
        rod(2.6, w, material, (-w / 2, d / 2, high), (0, 90, 0)),
        rod(2.6, d, material, (-w / 2, d / 2, high), (90, 0, 0)),
        rod(2.6, d, material, (w / 2, d / 2, high), (90, 0, 0)),
    ]
    for thing in sides:
        thing.parent = base
    place(base, at, (0, 0, turn))


def sheet(
    size: tuple[float, float], material: Any, at: Triple, turn: float = 0, seed: int = 0
) -> None:
    """A sheet of paper or cloth with a slight wave in it."""
    luck = Random(seed)
    n = 40
    w, d = size
    phase = [luck.uniform(0, 6) for _ in range(4)]
    vertices = []
    for j in range(n + 1):
        for i in range(n + 1):
            x, y = w * (i / n - 0.5), d * (j / n - 0.5)
            edge = max(abs(i / n - 0.5), abs(j / n - 0.5)) * 2
            z = 0.22 * sin(x / 31 + phase[0]) * sin(y / 43 + phase[1])
            z += max(0.0, edge - 0.93) * 8 * (0.5 + 0.5 * sin(x / 24 + y / 30 + phase[2]))
            vertices.append((x * MM, y * MM, z * MM))
    faces = [
        (j * (n + 1) + i, j * (n + 1) + i + 1, (j + 1) * (n + 1) + i + 1, (j + 1) * (n + 1) + i)
        for j in range(n)
        for i in range(n)
    ]
    mesh = bpy.data.meshes.new("sheet")
    mesh.from_pydata(vertices, [], faces)
    mesh.polygons.foreach_set("use_smooth", [True] * len(faces))
    found = bpy.data.objects.new("sheet", mesh)
    bpy.context.scene.collection.objects.link(found)
    mesh.materials.append(material)
    place(found, at, (0, 0, turn))


def label(
    text: str, at: Triple, turn: Triple = (0, 0, 0), width: float = 11, height: float = 6.0
) -> None:
    """A scrap of card with a number on it, lying flat."""
    base = bpy.data.objects.new("label", None)
    bpy.context.scene.collection.objects.link(base)
    card = box((width, height * 1.5, 0.3), m.plain((0.74, 0.70, 0.60), 0.8), (0, 0, 0.15), 0)
    ink = words(text, height, m.plain((0.02, 0.02, 0.05), 0.6), (0, 0, 0.34))
    card.parent = base
    ink.parent = base
    place(base, at, turn)


def candle(
    at: Triple,
    length: float = 180.0,
    wick: bool = True,
    lit: bool = False,
    colour: m.Colour = (0.86, 0.78, 0.62),
) -> None:
    """A table candle, Ø22 at the foot, tapering; `at` is the floor of the socket."""
    x, y, z = at
    outline = [
        (10.8, 0),
        (10.9, 20),
        (8.0, length - 6),
        (5.5, length - 1.0),
        (3.0, length),
        (0, length - 0.6),
        (0, 0),
    ]
    place(lathe(outline, m.wax(colour), 0.8, 64), at)
    if wick:
        rod(
            0.8,
            9,
            m.plain((0.03, 0.025, 0.02) if lit else (0.7, 0.66, 0.58), 0.9),
            (x, y, z + length - 1),
        )
    if lit:
        tip = z + length + 6
        flame = [(0, 0), (2.2, 2.5), (3.4, 7), (2.9, 13), (1.4, 20), (0, 27)]
        place(lathe(flame, m.glow((1.0, 0.50, 0.14), 9), 0.1, 32), (x, y, tip - 4))
        data = bpy.data.lights.new("flame", "POINT")
        data.energy = 1.1
        data.color = (1.0, 0.6, 0.28)
        data.shadow_soft_size = 0.006
        found = bpy.data.objects.new("flame", data)
        bpy.context.scene.collection.objects.link(found)
        place(found, (x, y, tip + 10))


# ---------------------------------------------------------------- the candlestick itself


def candlestick(
    at: Triple,
    size: str,
    spin: float = 0.0,
    with_candle: float = 0.0,
    lit: bool = False,
    made: dict[str, Any] | None = None,
) -> None:
    """All parts of a tall or a low one put together. `made` keeps meshes between calls."""
    store = made if made is not None else {}
    x, y, z = at
    seat = profiles.FOOT_HEIGHT + profiles.STEM_BODY[size]
    wanted = [
        ("foot", lambda: lathe(profiles.foot("tapped"), m.polished(m.STEEL, 0.14), 0.3), 0.0),
        ("pan", lambda: lathe(profiles.pan("bored"), m.polished(m.NICKEL, 0.1), 0.3), seat + 0.1),
        (
            "stem " + size,
            lambda: lathe(profiles.stem(size, "finished"), m.polished(m.BRASS, 0.13), 0.25),
            profiles.FOOT_HEIGHT,
        ),
        ("cup", lambda: lathe(profiles.cup("reamed"), m.polished(m.BRASS, 0.13), 0.3), seat),
    ]
    for key, make, height in wanted:
        if key in store:
            copy(store[key], (x, y, z + height), (0, 0, spin))
        else:
            store[key] = place(make(), (x, y, z + height), (0, 0, spin))
    if with_candle:
        floor = z + profiles.OVERALL[size] - profiles.SOCKET_DEPTH
        candle((x, y, floor), with_candle, lit=lit)
