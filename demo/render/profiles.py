"""The candlestick's four parts as turned profiles, at every stage of their route.

A profile is a closed list of (radius, height) points in millimetres: up the outside, in over the
top, down the bore, out over the bottom. Nothing here knows about a renderer. The sizes are those
of the invented demo build.
"""

from __future__ import annotations

from math import cos, hypot, pi, sin

Point = tuple[float, float]
Profile = list[Point]

# Overall sizes (mm) that several parts share.
FOOT_HEIGHT = 18.0
FOOT_BORE_DEPTH = 12.0
SPIGOT_LENGTH = 11.5  # lower spigot of the stem, Ø12, pressed into the foot
STEM_BODY = 120.0  # between the shoulder on the foot and the shoulder under the collar
COLLAR_HEIGHT = 6.0
TENON_LENGTH = 16.0  # upper spigot of the stem, Ø8: through the collar, 10 mm into the cup
STEM_LENGTH = SPIGOT_LENGTH + STEM_BODY + TENON_LENGTH
CUP_HEIGHT = 32.0
SOCKET_DEPTH = 22.0
OVERALL = FOOT_HEIGHT + STEM_BODY + COLLAR_HEIGHT + CUP_HEIGHT  # 176


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


def bead(r: float, z0: float, z1: float, bulge: float, n: int = 14) -> Profile:
    """A half-round bead standing `bulge` proud of radius `r`, from z0 up to z1."""
    mid, half = (z0 + z1) / 2, (z1 - z0) / 2
    return [(r + bulge * sin(pi * i / n), mid - half * cos(pi * i / n)) for i in range(n + 1)]


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


# ------------------------------------------------------------------ foot


def foot(stage: str) -> Profile:
    """Foot, stainless, Ø60 x 18. Stages: blank, bored, turned, tapped."""
    if stage == "blank":
        return [(31, 0), (31, 20), (0, 20), (0, 0)]
    bore = [(6.5, FOOT_HEIGHT), (6.0, FOOT_HEIGHT - 0.5), (6.0, FOOT_HEIGHT - FOOT_BORE_DEPTH)]
    if stage == "bored":
        return [(31, 0), (31, 18.0), *bore, (0, 6.0), (0, 0)]
    outside: Profile = [(30, 0.6), (30, 4.0), (28.2, 4.0), (28.2, 5.0)]
    outside += bezier((28.2, 5.0), (27.6, 9.6), (21.5, 7.2), (18.2, 10.2), 22)
    outside += bezier((18.2, 10.2), (15.8, 12.3), (15.2, 13.2), (15.2, 14.2), 12)
    outside += [(14.2, 14.2), (14.2, 15.0)]
    outside += bead(13.0, 15.0, 17.4, 1.2)
    outside += [(12.6, 17.4), (12.6, FOOT_HEIGHT)]
    # A shallow recess underneath leaves a boss round the screw and a rim to stand on.
    under: Profile = [(10, 0.0), (10, 1.5), (23, 1.5), (24, 0.0), (29.4, 0.0)]
    if stage == "turned":
        return [*outside, *bore, (0, 6.0), (0, 0.0), *under]
    if stage == "tapped":
        return [*outside, *bore, (3.0, 6.0), *thread(2.5, 3.05, 6.0, 0.0, 1.0), (3.2, 0.0), *under]
    raise ValueError(f"foot has no stage {stage!r}")


# ------------------------------------------------------------------ stem


def stem(stage: str) -> Profile:
    """Stem, brass, waist Ø14. z = 0 is the shoulder on the foot.

    Stages: bar, turned, profiled, finished.
    """
    low, high = -SPIGOT_LENGTH, STEM_BODY + TENON_LENGTH
    if stage == "bar":
        return [(12.5, low - 2), (12.5, high + 2), (0, high + 2), (0, low - 2)]
    centre_top: Profile = [(1.6, high), (0.8, high - 1.4), (0.8, high - 3), (0, high - 3)]
    centre_low: Profile = [(0, low + 3), (0.8, low + 3), (0.8, low + 1.4), (1.6, low)]
    top = STEM_BODY
    if stage == "turned":
        return [
            *[(6.6, low), (6.6, 0), (12.0, 0), (12.0, top), (4.6, top)],
            *[(4.6, high), *centre_top, *centre_low],
        ]
    spare = 0.5 if stage == "profiled" else 0.0
    body: Profile = [(10.8, 0.0)]
    body += bead(10.4, 0.4, 6.0, 1.7)
    body += [(9.8, 6.0), (9.8, 7.2)]
    body += bezier((9.8, 7.2), (7.6, 7.8), (7.4, 9.4), (7.6, 11.0), 12)
    body += bezier((7.6, 11.0), (11.4, 15.5), (12.4, 26.0), (10.2, 42.0), 22)
    body += bezier((10.2, 42.0), (8.4, 55.0), (7.0, 66.0), (7.0, 88.0), 24)
    body += [(7.9, 88.0), (7.9, 89.0)]
    body += bead(7.9, 89.0, 93.4, 1.7)
    body += [(7.9, 93.4), (7.9, 94.4), (7.1, 94.4)]
    body += bezier((7.1, 94.4), (7.2, 104.0), (7.6, 112.0), (10.6, 117.0), 18)
    body += [(11.0, 117.4), (11.0, top)]
    tenon = 4.0 + spare
    return [
        *[(5.4 + spare, low), (6.0 + spare, low + 0.8), (6.0 + spare, 0.0)],
        *body,
        *[(tenon, top), (tenon, high - 0.6), (tenon - 0.6, high), *centre_top, *centre_low],
    ]


# ------------------------------------------------------------------ cup


def cup(stage: str) -> Profile:
    """Cup, brass, 32 high. z = 0 lies on the collar. Stages: blank, turned, bored, reamed."""
    if stage == "blank":
        return [(21.5, -1), (21.5, 34), (0, 34), (0, -1)]
    outside: Profile = [(8.6, 0.0), (8.6, 1.6)]
    outside += bezier((8.6, 1.6), (8.0, 4.2), (9.2, 5.6), (12.2, 7.0), 14)
    outside += bezier((12.2, 7.0), (17.2, 9.6), (16.6, 15.6), (14.4, 20.6), 20)
    outside += bezier((14.4, 20.6), (13.2, 24.4), (14.2, 27.4), (19.4, 29.6), 18)
    outside += [(20.0, 30.0), (20.0, CUP_HEIGHT - 0.6), (19.4, CUP_HEIGHT)]
    floor = CUP_HEIGHT - SOCKET_DEPTH
    if stage == "turned":
        return [*outside, (1.6, CUP_HEIGHT), (0, CUP_HEIGHT - 1.6), (0, 0)]
    socket: Profile = [(12.0, CUP_HEIGHT), (11.0, CUP_HEIGHT - 1.0), (11.0, floor)]
    if stage == "bored":
        return [*outside, *socket, (0, floor), (0, 0)]
    return [*outside, *socket, (4.0, floor), (4.0, 0.5), (4.5, 0.0)]


# ------------------------------------------------------------------ collar


def collar(stage: str) -> Profile:
    """Collar, stainless, Ø24 x 6. Stages: parted, bored, scrapped (bored far too large)."""
    bore = {"parted": 3.0, "bored": 4.02, "scrapped": 5.3}[stage]
    grooved: Profile = [(12, 0.6), (12, 2.4), (11.5, 2.6), (11.5, 3.4), (12, 3.6), (12, 5.4)]
    plain: Profile = [(12, 0.6), (12, 5.4)]
    side = plain if stage == "parted" else grooved
    return [(11.4, 0), *side, (11.4, 6), (bore + 0.4, 6), (bore, 5.6), (bore, 0.4), (bore + 0.4, 0)]


def bar(radius: float, length: float, bore: float = 0.0) -> Profile:
    """Plain round stock from z = 0 to z = length, solid or bored through."""
    if bore:
        return [(radius, 0), (radius, length), (bore, length), (bore, 0)]
    return [(radius, 0), (radius, length), (0, length), (0, 0)]
