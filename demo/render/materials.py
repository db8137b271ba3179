"""Procedural materials: turned, polished and plated metal, wood, rubber, paint, wax, paper.

Nothing is loaded from a file. Turned work carries its marks in the UV map that `shapes.lathe`
lays: u once round the part (mirrored at half way, so that no seam shows) and v in millimetres
along the profile. Colours are scene-linear.
"""

from __future__ import annotations

from typing import Any

import bpy

Colour = tuple[float, float, float]


class Nodes:
    """A thin hand on a node tree: make nodes, set inputs by name, join by tuple."""

    def __init__(self, tree: Any) -> None:
        self.tree = tree

    def add(self, kind: str, inputs: dict[str, Any] | None = None, **settings: Any) -> Any:
        node = self.tree.nodes.new("ShaderNode" + kind)
        for key, value in settings.items():
            setattr(node, key, value)
        for key, value in (inputs or {}).items():
            socket = node.inputs[int(key)] if key.isdigit() else node.inputs[key]
            if isinstance(value, bpy.types.NodeSocket):
                self.tree.links.new(value, socket)
            else:
                socket.default_value = value
        return node

    def math(self, operation: str, a: Any, b: Any = 0.0) -> Any:
        return self.add("Math", {"0": a, "1": b}, operation=operation).outputs[0]

    def scaled(self, vector: Any, factors: Colour) -> Any:
        return self.add("VectorMath", {"0": vector, "1": factors}, operation="MULTIPLY").outputs[0]

    def noise(self, vector: Any, scale: float, detail: float = 3.0, rough: float = 0.5) -> Any:
        found = self.add(
            "TexNoise",
            {"Vector": vector, "Scale": scale, "Detail": detail, "Roughness": rough},
        )
        return found.outputs[0]

    def ramp(self, value: Any, stops: list[tuple[float, Colour]]) -> Any:
        node = self.add("ValToRGB", {"0": value})
        ends = node.color_ramp.elements
        while len(ends) < len(stops):
            ends.new(0.5)
        for end, (position, colour) in zip(ends, stops, strict=True):
            end.position = position
            end.color = (*colour, 1.0)
        return node.outputs[0]

    def between(self, value: Any, low: float, high: float) -> Any:
        """Map 0..1 to low..high."""
        return self.add("MapRange", {"Value": value, "To Min": low, "To Max": high}).outputs[0]


def _new(name: str) -> tuple[Any, Nodes, Any, Any]:
    material = bpy.data.materials.new(name)
    material.use_nodes = True
    nodes = Nodes(material.node_tree)
    shader = material.node_tree.nodes["Principled BSDF"]
    output = material.node_tree.nodes["Material Output"]
    return material, nodes, shader, output


def _put(nodes: Nodes, shader: Any, **inputs: Any) -> None:
    for key, value in inputs.items():
        socket = shader.inputs[key.replace("_", " ")]
        if isinstance(value, bpy.types.NodeSocket):
            nodes.tree.links.new(value, socket)
        elif isinstance(value, tuple) and len(value) == 3 and socket.type == "RGBA":
            socket.default_value = (*value, 1.0)
        else:
            socket.default_value = value


STEEL: Colour = (0.575, 0.58, 0.585)
BRASS: Colour = (0.78, 0.59, 0.285)
NICKEL: Colour = (0.66, 0.615, 0.54)
DARK_STEEL: Colour = (0.16, 0.155, 0.15)


def turned(
    colour: Colour,
    feed: float = 0.25,
    marks: float = 1.0,
    rough: float = 0.26,
    aniso: float = 0.75,
    stain: float = 0.12,
) -> Any:
    """Metal off the lathe: grooves `feed` mm apart, `marks` times a usual finish deep."""
    material, n, shader, _ = _new("turned")
    uv = n.add("TexCoord").outputs["UV"]
    place = n.add("TexCoord").outputs["Object"]
    # Irregular rings: noise that is stretched round the part and quick along it.
    coarse = n.noise(n.scaled(uv, (0.6, 1.0 / feed, 0.0)), 1.0, 2.0)
    fine = n.noise(n.scaled(uv, (1.2, 4.0 / feed, 0.0)), 1.0, 3.0)
    wave = n.add(
        "TexWave",
        {
            "Vector": n.scaled(uv, (0.2, 1.0, 0.0)),
            "Scale": 0.3142 / feed,  # the texture's own period is 2 pi / 20
            "Distortion": 0.6,
            "Detail": 2.0,
        },
        wave_type="BANDS",
        bands_direction="Y",
    ).outputs["Fac"]
    height = n.math("ADD", n.math("MULTIPLY", wave, 0.5), coarse)
    height = n.math("ADD", height, n.math("MULTIPLY", fine, 0.4))
    bump = n.add("Bump", {"Height": height, "Strength": 1.0, "Distance": 0.000025 * marks})
    blotch = n.noise(place, 70.0, 4.0)
    roughness = n.math(
        "ADD", n.between(fine, rough - 0.06, rough + 0.06), n.between(blotch, -0.06, 0.06)
    )
    dull = (colour[0] * (1 - stain), colour[1] * (1 - 1.05 * stain), colour[2] * (1 - 1.1 * stain))
    _put(
        n,
        shader,
        Base_Color=n.ramp(blotch, [(0.35, dull), (0.62, colour)]),
        Metallic=1.0,
        Roughness=roughness,
        Anisotropic=aniso,
        Tangent=n.add("Tangent", direction_type="RADIAL", axis="Z").outputs[0],
        Normal=bump.outputs[0],
    )
    return material


def polished(colour: Colour, rough: float = 0.1) -> Any:
    """Metal polished on the lathe: hair-fine rings, a soft bloom, no colour left to chance."""
    return turned(colour, feed=0.12, marks=0.04, rough=rough, aniso=0.45, stain=0.04)


def sawn(colour: Colour) -> Any:
    """A saw's face: parallel scratches and a little rub of dirt."""
    material, n, shader, _ = _new("sawn")
    place = n.add("TexCoord").outputs["Object"]
    lines = n.noise(n.scaled(place, (1100.0, 25.0, 25.0)), 1.0, 4.0, 0.7)
    blotch = n.noise(place, 130.0, 4.0)
    bump = n.add("Bump", {"Height": lines, "Strength": 1.0, "Distance": 0.0003})
    dull = (colour[0] * 0.6, colour[1] * 0.59, colour[2] * 0.58)
    _put(
        n,
        shader,
        Base_Color=n.ramp(blotch, [(0.35, dull), (0.65, colour)]),
        Metallic=1.0,
        Roughness=n.between(lines, 0.3, 0.55),
        Normal=bump.outputs[0],
    )
    return material


def ground(colour: Colour = STEEL, rough: float = 0.3) -> Any:
    """Flat tool steel, lightly used."""
    material, n, shader, _ = _new("ground")
    place = n.add("TexCoord").outputs["Object"]
    hair = n.noise(n.scaled(place, (120.0, 2400.0, 2400.0)), 1.0, 3.0)
    blotch = n.noise(place, 60.0, 5.0, 0.6)
    bump = n.add("Bump", {"Height": hair, "Strength": 0.6, "Distance": 0.00001})
    dull = (colour[0] * 0.7, colour[1] * 0.7, colour[2] * 0.7)
    _put(
        n,
        shader,
        Base_Color=n.ramp(blotch, [(0.3, dull), (0.6, colour)]),
        Metallic=1.0,
        Roughness=n.between(blotch, rough - 0.08, rough + 0.14),
        Normal=bump.outputs[0],
    )
    return material


def cast_iron() -> Any:
    """Skin of a casting: dark, grainy, oily."""
    material, n, shader, _ = _new("cast iron")
    place = n.add("TexCoord").outputs["Object"]
    grain = n.noise(place, 900.0, 4.0, 0.7)
    bump = n.add("Bump", {"Height": grain, "Strength": 0.6, "Distance": 0.0003})
    _put(
        n,
        shader,
        Base_Color=n.ramp(grain, [(0.3, (0.03, 0.03, 0.03)), (0.8, (0.10, 0.098, 0.095))]),
        Metallic=0.8,
        Roughness=n.between(grain, 0.35, 0.6),
        Normal=bump.outputs[0],
    )
    return material


def paint(colour: Colour, rough: float = 0.35, orange_peel: float = 1.0) -> Any:
    """Machine enamel."""
    material, n, shader, _ = _new("paint")
    place = n.add("TexCoord").outputs["Object"]
    peel = n.noise(place, 420.0, 2.0)
    bump = n.add("Bump", {"Height": peel, "Strength": 0.5, "Distance": 0.00012 * orange_peel})
    _put(n, shader, Base_Color=colour, Roughness=rough, Normal=bump.outputs[0])
    return material


def plain(colour: Colour, rough: float = 0.5, metallic: float = 0.0) -> Any:
    """One colour, one sheen: for whatever stays out of focus."""
    material, n, shader, _ = _new("plain")
    _put(n, shader, Base_Color=colour, Roughness=rough, Metallic=metallic)
    return material


def rubber(colour: Colour = (0.022, 0.045, 0.038)) -> Any:
    """A ribbed bench mat."""
    material, n, shader, _ = _new("rubber")
    place = n.add("TexCoord").outputs["Object"]
    ribs = n.add(
        "TexWave", {"Vector": place, "Scale": 100.0, "Distortion": 0.0}, bands_direction="Y"
    ).outputs["Fac"]
    dust = n.noise(place, 160.0, 6.0, 0.7)
    bump = n.add("Bump", {"Height": ribs, "Strength": 0.5, "Distance": 0.0004})
    pale = (colour[0] * 2.4 + 0.01, colour[1] * 2.2 + 0.01, colour[2] * 2.2 + 0.01)
    _put(
        n,
        shader,
        Base_Color=n.ramp(dust, [(0.45, colour), (0.8, pale)]),
        Roughness=n.between(dust, 0.5, 0.8),
        Normal=bump.outputs[0],
    )
    return material


def paper(colour: Colour = (0.62, 0.48, 0.32)) -> Any:
    """Kraft paper, or white card when given a pale colour."""
    material, n, shader, _ = _new("paper")
    place = n.add("TexCoord").outputs["Object"]
    fibre = n.noise(n.scaled(place, (300.0, 900.0, 300.0)), 1.0, 5.0, 0.7)
    crease = n.noise(place, 9.0, 2.0)
    height = n.math("ADD", n.math("MULTIPLY", crease, 14.0), fibre)
    bump = n.add("Bump", {"Height": height, "Strength": 0.5, "Distance": 0.0002})
    dark = (colour[0] * 0.82, colour[1] * 0.8, colour[2] * 0.77)
    _put(
        n,
        shader,
        Base_Color=n.ramp(fibre, [(0.35, dark), (0.65, colour)]),
        Roughness=0.85,
        Normal=bump.outputs[0],
    )
    return material


def cloth(colour: Colour) -> Any:
    """Felt or linen laid flat."""
    material, n, shader, _ = _new("cloth")
    place = n.add("TexCoord").outputs["Object"]
    warp = n.add(
        "TexWave",
        {"Vector": place, "Scale": 420.0, "Distortion": 0.8, "Detail": 2.0},
        bands_direction="X",
    ).outputs["Fac"]
    weft = n.add(
        "TexWave",
        {"Vector": place, "Scale": 420.0, "Distortion": 0.8, "Detail": 2.0},
        bands_direction="Y",
    ).outputs["Fac"]
    weave = n.math("ADD", warp, weft)
    bump = n.add("Bump", {"Height": weave, "Strength": 0.6, "Distance": 0.0003})
    dark = (colour[0] * 0.7, colour[1] * 0.7, colour[2] * 0.7)
    _put(
        n,
        shader,
        Base_Color=n.ramp(n.math("MULTIPLY", weave, 0.5), [(0.2, dark), (0.7, colour)]),
        Roughness=0.95,
        Normal=bump.outputs[0],
        Sheen_Weight=0.3,
    )
    return material


def wood(
    early: Colour = (0.40, 0.235, 0.115),
    late: Colour = (0.23, 0.115, 0.05),
    plank: float = 0.11,
    rough: float = 0.42,
    worn: float = 0.0,
) -> Any:
    """Boards along x, `plank` metres wide: rings, pores, seams; `worn` adds oil stains."""
    material, n, shader, _ = _new("wood")
    place = n.add("TexCoord").outputs["Object"]
    split = n.add("SeparateXYZ", {"0": place})
    across = n.math("DIVIDE", split.outputs["Y"], plank)
    board = n.math("FLOOR", across)
    seam_at = n.math("ABSOLUTE", n.math("SUBTRACT", n.math("FRACT", across), 0.5))
    seam = n.math("GREATER_THAN", seam_at, 0.494)
    luck = n.add("TexWhiteNoise", {"W": board}, noise_dimensions="1D").outputs["Value"]
    shift = n.add(
        "CombineXYZ", {"0": n.math("MULTIPLY", luck, 7.0), "1": n.math("MULTIPLY", luck, 3.0)}
    ).outputs[0]
    grain_place = n.add("VectorMath", {"0": place, "1": shift}, operation="ADD").outputs[0]
    bend = n.noise(n.scaled(grain_place, (2.2, 9.0, 1.0)), 1.0, 2.0)
    rings = n.add(
        "TexNoise",
        {
            "Vector": n.add(
                "VectorMath",
                {
                    "0": n.scaled(grain_place, (3.0, 95.0, 1.0)),
                    "1": n.add("CombineXYZ", {"1": n.math("MULTIPLY", bend, 9.0)}).outputs[0],
                },
                operation="ADD",
            ).outputs[0],
            "Scale": 1.0,
            "Detail": 5.0,
            "Roughness": 0.62,
        },
    ).outputs[0]
    pores = n.noise(n.scaled(grain_place, (55.0, 1500.0, 1.0)), 1.0, 2.0)
    pore = n.ramp(pores, [(0.30, (0.0, 0.0, 0.0)), (0.42, (1.0, 1.0, 1.0))])
    colour = n.ramp(rings, [(0.32, late), (0.66, early)])
    tone = n.between(luck, 0.78, 1.12)
    stain = n.noise(place, 11.0, 5.0, 0.6)
    stained = n.between(
        n.ramp(stain, [(0.45, (1.0, 1.0, 1.0)), (0.7, (0.0, 0.0, 0.0))]), 1.0 - worn, 1.0
    )
    factor = n.math("MULTIPLY", tone, stained)
    factor = n.math("MULTIPLY", factor, n.between(pore, 0.55, 1.0))
    factor = n.math("MULTIPLY", factor, n.between(seam, 1.0, 0.12))
    final = n.add("VectorMath", {"0": colour, "Scale": factor}, operation="SCALE").outputs[0]
    height = n.math("SUBTRACT", n.math("MULTIPLY", pore, 0.5), n.math("MULTIPLY", seam, 6.0))
    height = n.math("ADD", height, n.math("MULTIPLY", rings, 0.5))
    bump = n.add("Bump", {"Height": height, "Strength": 0.7, "Distance": 0.00014})
    _put(
        n,
        shader,
        Base_Color=final,
        Roughness=n.between(rings, rough + 0.1, rough - 0.06),
        Normal=bump.outputs[0],
    )
    return material


def wax(colour: Colour = (0.86, 0.78, 0.62)) -> Any:
    """Ivory candle wax."""
    material, n, shader, _ = _new("wax")
    _put(
        n,
        shader,
        Base_Color=colour,
        Roughness=0.38,
        Subsurface_Weight=0.6,
        Subsurface_Radius=(1.0, 0.6, 0.35),
        Subsurface_Scale=0.004,
    )
    return material


def glow(colour: Colour, strength: float) -> Any:
    """Something that shines: window pane, lamp, display, flame."""
    material, n, shader, output = _new("glow")
    light = n.add("Emission", {"Color": (*colour, 1.0), "Strength": strength})
    material.node_tree.nodes.remove(shader)
    material.node_tree.links.new(light.outputs[0], output.inputs["Surface"])
    return material


def abrasive() -> Any:
    """Emery cloth: rust-brown grit."""
    material, n, shader, _ = _new("abrasive")
    place = n.add("TexCoord").outputs["Object"]
    grit = n.noise(place, 5000.0, 2.0, 0.7)
    bump = n.add("Bump", {"Height": grit, "Strength": 1.0, "Distance": 0.0003})
    _put(
        n,
        shader,
        Base_Color=n.ramp(grit, [(0.35, (0.05, 0.02, 0.012)), (0.65, (0.17, 0.06, 0.03))]),
        Roughness=0.7,
        Normal=bump.outputs[0],
    )
    return material
