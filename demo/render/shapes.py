"""Meshes from profiles and a few solids. Everything is given in millimetres, made in metres."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import cos, hypot, pi, sin
from typing import Any

import bpy
from mathutils import Euler, Vector
from profiles import Profile, soften

MM = 0.001
Triple = tuple[float, float, float]


def _link(mesh: Any, name: str, material: Any) -> Any:
    found = bpy.data.objects.new(name, mesh)
    bpy.context.scene.collection.objects.link(found)
    if material is not None:
        mesh.materials.append(material)
    return found


def place(thing: Any, at: Triple = (0, 0, 0), turn: Triple = (0, 0, 0)) -> Any:
    """Move to `at` (mm) and turn by Euler angles in degrees."""
    thing.location = Vector(at) * MM
    thing.rotation_euler = Euler([a * pi / 180 for a in turn])
    return thing


def copy(thing: Any, at: Triple, turn: Triple = (0, 0, 0)) -> Any:
    """Another object on the same mesh."""
    other = thing.copy()
    bpy.context.scene.collection.objects.link(other)
    return place(other, at, turn)


def lathe(
    profile: Profile,
    material: Any,
    edge: float = 0.3,
    segments: int = 128,
    name: str = "turned part",
) -> Any:
    """Turn a closed (radius, height) profile round z, with true normals and mm along v."""
    points = soften([(max(r, 0.004), z) for r, z in profile], edge)
    count = len(points)
    # One normal a point: the two neighbouring flanks weighed by length cubed, so that a long
    # flat stays flat and only the small rounds turn the light.
    normals: list[tuple[float, float]] = []
    for i, (r, z) in enumerate(points):
        nr = nz = 0.0
        for (ar, az), (br, bz) in (
            (points[i - 1], (r, z)),
            ((r, z), points[(i + 1) % count]),
        ):
            length = hypot(br - ar, bz - az)
            on_axis = ar < 0.01 and br < 0.01  # no surface there, so no say in the normal
            if length > 1e-9 and not on_axis:
                nr += (bz - az) * length * length
                nz -= (br - ar) * length * length
        size = hypot(nr, nz) or 1.0
        normals.append((nr / size, nz / size))
    along = [0.0]
    for i in range(count):
        (ar, az), (br, bz) = points[i], points[(i + 1) % count]
        along.append(along[-1] + hypot(br - ar, bz - az))

    angles = [2 * pi * k / segments for k in range(segments)]
    vertices = [(r * cos(a) * MM, r * sin(a) * MM, z * MM) for a in angles for r, z in points]
    faces: list[tuple[int, int, int, int]] = []
    uvs: list[tuple[float, float]] = []
    for k in range(segments):
        k2 = (k + 1) % segments
        u1 = 1 - abs(2 * k / segments - 1)
        u2 = 1 - abs(2 * (k + 1) / segments - 1)
        for i in range(count):
            j = (i + 1) % count
            if points[i][0] < 0.01 and points[j][0] < 0.01:
                continue  # along the axis of a solid: nothing to see
            faces.append((k * count + i, k2 * count + i, k2 * count + j, k * count + j))
            uvs += [(u1, along[i]), (u2, along[i]), (u2, along[i + 1]), (u1, along[i + 1])]
    mesh = bpy.data.meshes.new(name)
    mesh.from_pydata(vertices, [], faces)
    layer = mesh.uv_layers.new(name="turning")
    layer.uv.foreach_set("vector", [c for uv in uvs for c in uv])
    mesh.polygons.foreach_set("use_smooth", [True] * len(faces))
    mesh.normals_split_custom_set_from_vertices(
        [(nr * cos(a), nr * sin(a), nz) for a in angles for nr, nz in normals]
    )
    mesh.update()
    return _link(mesh, name, material)


def fluted(
    length: float,
    radius: Callable[[float, float], float],
    material: Any,
    rings: int = 160,
    segments: int = 48,
) -> Any:
    """A round bar whose radius (mm) is a function of angle (rad) and height (mm): drills, taps."""
    vertices = []
    for i in range(rings + 1):
        z = length * i / rings
        for k in range(segments):
            a = 2 * pi * k / segments
            r = radius(a, z)
            vertices.append((r * cos(a) * MM, r * sin(a) * MM, z * MM))
    faces = []
    for i in range(rings):
        for k in range(segments):
            k2 = (k + 1) % segments
            faces.append(
                (
                    i * segments + k,
                    i * segments + k2,
                    (i + 1) * segments + k2,
                    (i + 1) * segments + k,
                )
            )
    mesh = bpy.data.meshes.new("fluted")
    mesh.from_pydata(vertices, [], faces)
    mesh.polygons.foreach_set("use_smooth", [True] * len(faces))
    mesh.update()
    return _link(mesh, "fluted", material)


def box(
    size: Triple,
    material: Any,
    at: Triple = (0, 0, 0),
    bevel: float = 0.5,
    turn: Triple = (0, 0, 0),
) -> Any:
    """A block with rounded edges, centred at `at`."""
    x, y, z = (s / 2 * MM for s in size)
    vertices = [(sx * x, sy * y, sz * z) for sx in (-1, 1) for sy in (-1, 1) for sz in (-1, 1)]
    faces = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    mesh = bpy.data.meshes.new("box")
    mesh.from_pydata(vertices, [], faces)
    found = _link(mesh, "box", material)
    if bevel > 0:
        soft = found.modifiers.new("soft", "BEVEL")
        soft.width = bevel * MM
        soft.segments = 2
        soft.harden_normals = True
        mesh.polygons.foreach_set("use_smooth", [True] * 6)
    return place(found, at, turn)


def prism(
    outline: Sequence[tuple[float, float]],
    thickness: float,
    material: Any,
    at: Triple = (0, 0, 0),
    turn: Triple = (0, 0, 0),
    bevel: float = 0.3,
) -> Any:
    """An outline in x, y (anticlockwise, mm) raised by `thickness` along z."""
    count = len(outline)
    vertices = [(x * MM, y * MM, z * MM) for z in (0.0, thickness) for x, y in outline]
    faces: list[tuple[int, ...]] = [
        tuple(reversed(range(count))),
        tuple(range(count, 2 * count)),
    ]
    faces += [(i, (i + 1) % count, count + (i + 1) % count, count + i) for i in range(count)]
    mesh = bpy.data.meshes.new("prism")
    mesh.from_pydata(vertices, [], faces)
    found = _link(mesh, "prism", material)
    if bevel > 0:
        soft = found.modifiers.new("soft", "BEVEL")
        soft.width = bevel * MM
        soft.segments = 2
        soft.limit_method = "ANGLE"
        soft.harden_normals = True
        mesh.polygons.foreach_set("use_smooth", [True] * len(faces))
    return place(found, at, turn)


def rod(
    radius: float,
    length: float,
    material: Any,
    at: Triple = (0, 0, 0),
    turn: Triple = (0, 0, 0),
    edge: float = 0.3,
    segments: int = 64,
) -> Any:
    """A round bar from `at` along its own z."""
    bar = [(radius, 0.0), (radius, length), (0.0, length), (0.0, 0.0)]
    return place(lathe(bar, material, edge, segments, "rod"), at, turn)


def ribbon(
    path: Sequence[Triple],
    width: float,
    material: Any,
    across: Triple = (0, 0, 1),
    thickness: float = 0.15,
) -> Any:
    """A strip along a path (mm): swarf, or a leaf of paper."""
    vertices, faces = [], []
    for i, p in enumerate(path):
        here = Vector(p)
        ahead = Vector(path[min(i + 1, len(path) - 1)]) - Vector(path[max(i - 1, 0)])
        side = Vector(across)
        side = (side - ahead * (side.dot(ahead) / max(ahead.dot(ahead), 1e-9))).normalized()
        taper = min(1.0, 0.25 + 4 * i / len(path), 0.25 + 4 * (len(path) - 1 - i) / len(path))
        half = side * (width / 2 * taper)
        vertices += [tuple((here - half) * MM), tuple((here + half) * MM)]
    for i in range(len(path) - 1):
        faces.append((2 * i, 2 * i + 1, 2 * i + 3, 2 * i + 2))
    mesh = bpy.data.meshes.new("ribbon")
    mesh.from_pydata(vertices, [], faces)
    mesh.polygons.foreach_set("use_smooth", [True] * len(faces))
    found = _link(mesh, "ribbon", material)
    solid = found.modifiers.new("solid", "SOLIDIFY")
    solid.thickness = thickness * MM
    return found


def surface(
    size: tuple[float, float], material: Any, at: Triple = (0, 0, 0), turn: Triple = (0, 0, 0)
) -> Any:
    """A flat rectangle facing +z."""
    x, y = (s / 2 * MM for s in size)
    mesh = bpy.data.meshes.new("surface")
    mesh.from_pydata([(-x, -y, 0), (x, -y, 0), (x, y, 0), (-x, y, 0)], [], [(0, 1, 2, 3)])
    return place(_link(mesh, "surface", material), at, turn)


def words(
    text: str,
    height: float,
    material: Any,
    at: Triple,
    turn: Triple = (0, 0, 0),
    centred: bool = True,
) -> Any:
    """Raised lettering in the renderer's own typeface."""
    curve = bpy.data.curves.new("words", "FONT")
    curve.body = text
    curve.size = height * MM
    curve.extrude = 0.05 * MM
    if centred:
        curve.align_x = "CENTER"
        curve.align_y = "CENTER"
    found = bpy.data.objects.new("words", curve)
    bpy.context.scene.collection.objects.link(found)
    curve.materials.append(material)
    return place(found, at, turn)
