"""The candlestick's parts as turned profiles, at every stage of their route.

A profile is a closed list of (radius, height) points in millimetres: up the outside, in over the
top, down the bore, out over the bottom. Nothing here knows about a renderer. The sizes are those
of the invented demo build.
"""

from __future__ import annotations

from math import hypot

Point = tuple[float, float]
Profile = list[Point]

# Overall sizes (mm) that several parts share.
FOOT_HEIGHT = 20.0
FOOT_BORE_DEPTH = 12.0
SPIGOT_LENGTH = 11.5  # lower spigot of a stem, Ø14, pressed into the foot
TENON_LENGTH = 14.0  # upper spigot of a stem, Ø10: the cup slides on it
STEM_BODY = {
    "tall": 130.0,
    "low": 66.0,
}  # between the shoulder on the foot and the one under the cup
CUP_HEIGHT = 30.0
CUP_NECK = 5.2  # the neck that the drip pan sits on
SOCKET_DEPTH = 19.0
PAN_HUB = 5.0
OVERALL = {size: FOOT_HEIGHT + body + CUP_HEIGHT for size, body in STEM_BODY.items()}  # 180, 116


def bezier(p0: Point, p1: Point, p2: Point, p3: Point, n: int = 20) -> Profile:
    """Points along a cubic curve, both ends included."""
    out: Profile = []
    for i in range(n + 1):
        t = i / n
        s = 1 - t
        out.append(
            (
                s**3 * p0[0] + 3 * s * s * t * p1[0] + 3 * s * t * t * p2[0] + t**3 * p3[0],
                s**3 * p0[1] + 3 * s * s * t * p1[1] + 3 * s * t * t * p2[1] + t**3 * p3[1],
            )
        )
    return out


def soften(points: Profile, radius: float, steps: int = 4) -> Profile:
    """Break every sharp corner of a closed profile by a small round of at most `radius`."""
    out: Profile = []
    count = len(points)
    for i, (r, z) in enumerate(points):
        pr, pz = points[i - 1]
        nr, nz = points[(i + 1) % count]
        a = hypot(pr - r, pz - z)
        b = hypot(nr - r, nz - z)
        if a < 1e-9 or b < 1e-9:
            continue
        cosine = ((r - pr) * (nr - r) + (z - pz) * (nz - z)) / (a * b)
        if cosine > 0.94 or r < 0.05:  # smooth enough already, or a point on the axis
            out.append((r, z))
            continue
        cut = min(radius, 0.35 * a, 0.35 * b)
        start = (r + (pr - r) * cut / a, z + (pz - z) * cut / a)
        end = (r + (nr - r) * cut / b, z + (nz - z) * cut / b)
        for k in range(steps + 1):
            t = k / steps
            s = 1 - t
            out.append(
                (
                    s * s * start[0] + 2 * s * t * r + t * t * end[0],
                    s * s * start[1] + 2 * s * t * z + t * t * end[1],
                )
            )
    return out


def thread(r_minor: float, r_major: float, z_top: float, z_bottom: float, pitch: float) -> Profile:
    """The flanks of an internal thread, from the top down (drawn as rings)."""
    out: Profile = []
    z = z_top - 0.4
    while z - pitch > z_bottom + 0.3:
        out += [(r_minor, z), (r_minor, z - 0.15 * pitch), (r_major, z - 0.55 * pitch)]
        z -= pitch
    out += [(r_minor, z), (r_minor, z_bottom + 0.5)]
    return out


def grooved(start: Point, end: Point, at: tuple[float, ...], width: float = 1.0) -> Profile:
    """A straight flank with fine V grooves at shares `at` of its length."""
    (r0, z0), (r1, z1) = start, end
    length = hypot(r1 - r0, z1 - z0)
    nr, nz = (z1 - z0) / length, -(r1 - r0) / length  # outwards
    out: Profile = [start]
    for share in at:
        for step, depth in ((-0.5, 0.0), (0.0, 0.55), (0.5, 0.0)):
            s = share + step * width / length
            out.append(
                (r0 + (r1 - r0) * s - nr * depth * width, z0 + (z1 - z0) * s - nz * depth * width)
            )
    return [*out, end]


# ------------------------------------------------------------------ foot


def foot(stage: str) -> Profile:
    """Foot, stainless, Ø64 x 20: a low cone. Stages: blank, bored, turned, tapped."""
    if stage == "blank":
        return [(33, 0), (33, 22), (0, 22), (0, 0)]
    floor = FOOT_HEIGHT - FOOT_BORE_DEPTH
    bore: Profile = [(7.5, FOOT_HEIGHT), (7.0, FOOT_HEIGHT - 0.5), (7.0, floor)]
    if stage == "bored":
        return [(33, 0), (33, FOOT_HEIGHT), *bore, (0, floor), (0, 0)]
    outside: Profile = [(32, 0.6), (32, 4.4), (30.8, 4.4), (30.8, 5.4)]
    outside += grooved((30.0, 5.4), (14.6, 16.4), (0.62, 0.78))
    outside += [(13.0, 16.4), (13.0, FOOT_HEIGHT)]
    # A shallow recess underneath takes the weight; the foot stands on the rim round it.
    under: Profile = [(23, 3.0), (24, 0.0), (31.4, 0.0)]
    if stage == "turned":
        return [*outside, *bore, (0, floor), (0, 3.0), *under]
    if stage == "tapped":
        inner = [(3.0, floor), *thread(2.5, 3.05, floor, 3.0, 1.0), (3.2, 3.0)]
        return [*outside, *bore, *inner, *under]
    raise ValueError(f"foot has no stage {stage!r}")


# ------------------------------------------------------------------ stems


def stem(size: str, stage: str) -> Profile:
    """A stem, brass: a straight taper with a flange on top. z = 0 is the shoulder on the foot.

    Sizes: tall, low. Stages: bar, turned, tapered, finished.
    """
    top = STEM_BODY[size]
    low, high = -SPIGOT_LENGTH, top + TENON_LENGTH
    if stage == "bar":
        return [(12.5, low - 2), (12.5, high + 2), (0, high + 2), (0, low - 2)]
    centre_top: Profile = [(1.6, high), (0.8, high - 1.4), (0.8, high - 3), (0, high - 3)]
    centre_low: Profile = [(0, low + 3), (0.8, low + 3), (0.8, low + 1.4), (1.6, low)]
    if stage == "turned":
        return [
            *[(7.6, low), (7.6, 0), (12.0, 0), (12.0, top), (5.6, top)],
            *[(5.6, high), *centre_top, *centre_low],
        ]
    spare = 0.5 if stage == "tapered" else 0.0
    body: Profile = [(11.6, 0.0), (11.6, 3.0), (10.8, 3.0), (10.8, 4.0)]
    rings = (0.10, 0.13, 0.16) if size == "tall" else (0.19, 0.25, 0.31)
    body += grooved((10.8, 4.0), (7.2, top - 6.0), rings, 0.9)
    body += [(8.4, top - 6.0), (8.4, top - 4.0), (11.0, top - 3.0), (11.0, top)]
    tenon = 5.0 + spare
    return [
        *[(6.4 + spare, low), (7.0 + spare, low + 0.8), (7.0 + spare, 0.0)],
        *body,
        *[(tenon, top), (tenon, high - 0.6), (tenon - 0.6, high), *centre_top, *centre_low],
    ]


# ------------------------------------------------------------------ cup


def cup(stage: str) -> Profile:
    """Cup, brass, 30 high: a plain cylinder on a neck. Stages: blank, turned, bored, reamed."""
    if stage == "blank":
        return [(16.5, -1), (16.5, 32), (0, 32), (0, -1)]
    outside: Profile = [(8.6, 0.0), (9.0, 0.4), (9.0, CUP_NECK), (11.6, CUP_NECK), (15.0, 8.8)]
    outside += grooved((15.0, 8.8), (15.0, CUP_HEIGHT - 0.6), (0.16, 0.24), 0.9)
    outside += [(14.4, CUP_HEIGHT)]
    floor = CUP_HEIGHT - SOCKET_DEPTH
    if stage == "turned":
        return [*outside, (1.6, CUP_HEIGHT), (0, CUP_HEIGHT - 1.6), (0, 0)]
    socket: Profile = [(12.0, CUP_HEIGHT), (11.0, CUP_HEIGHT - 1.0), (11.0, floor)]
    if stage == "bored":
        return [*outside, *socket, (0, floor), (0, 0)]
    return [*outside, *socket, (5.0, floor), (5.0, 0.5), (5.5, 0.0)]


# ------------------------------------------------------------------ drip pan


def pan(stage: str) -> Profile:
    """Drip pan, steel, Ø60: a shallow dish round a hub. Stages: parted, bored, scrapped."""
    bore = {"parted": 5.0, "bored": 9.03, "scrapped": 10.4}[stage]
    under: Profile = [(13.0, 0.0), (13.6, 1.8), (26.0, 2.4), (29.2, 4.6)]
    rim: Profile = [(30.0, 5.4), (30.0, 7.0), (28.6, 7.0)]
    dish: Profile = [(25.4, 4.2), (14.0, 3.4), (13.2, PAN_HUB)]
    return [
        *under, *rim, *dish,
        (bore + 0.4, PAN_HUB), (bore, PAN_HUB - 0.4), (bore, 0.4), (bore + 0.4, 0.0),
    ]  # fmt: skip


def bar(radius: float, length: float, bore: float = 0.0) -> Profile:
    """Plain round stock from z = 0 to z = length, solid or bored through."""
    if bore:
        return [(radius, 0), (radius, length), (bore, length), (bore, 0)]
    return [(radius, 0), (radius, length), (0, length), (0, 0)]
