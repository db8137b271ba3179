"""Matching: the whole set, held against trying every arrangement."""

import itertools
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from qlog.drawing.decision import DecisionRule, Rule
from qlog.drawing.limits import Limits
from qlog.drawing.plan import Ban, ItemGroup
from qlog.drawing.units import Unit
from qlog.study.conformity.verdict import Verdict
from qlog.study.fit.joints import Sized, clearances
from qlog.study.matching.match import match
from qlog.study.matching.model import (
    Fixed,
    JointSizes,
    Matching,
    Shortage,
    StackSizes,
    VisibleSizes,
)
from qlog.study.matching.statement import Statement

dec = Decimal

MM = Unit.MM
WANTED = Limits(dec("0.010"), dec("0.026"), MM)


def sized(part: str, base: str, steps: Sequence[int], u: str | None = None) -> tuple[Sized, ...]:
    return tuple(
        Sized(part, n, dec(base) + dec(x).scaleb(-3), None if u is None else dec(u))
        for n, x in enumerate(steps, 1)
    )


def group(count: int, *takes: str, id: str = "set", only: object = ()) -> ItemGroup:
    return ItemGroup(id, id, count, tuple((part, 1) for part in takes), only)  # type: ignore[arg-type]


def pieces(result: Matching) -> list[tuple[int, ...]]:
    return [tuple(number for _, number in item.pieces) for item in result.items]


def numbers(count: int) -> tuple[int, ...]:
    return tuple(range(1, count + 1))


# -- small sets worked out by hand ---------------------------------------------------------------


@pytest.mark.parametrize("upper", ["100.095", "100.060"])
def test_what_is_all_assembled_is_told_without_a_search_and_as_the_search_tells_it(
    monkeypatch: pytest.MonkeyPatch, upper: str
) -> None:
    wanted = Limits(dec("100.000"), dec(upper), MM)
    feet = sized("foot", "20", [0, 20, 50], "0.002")
    stems = sized("stem", "80", [0, 30, 50], "0.002")

    def told() -> Matching:
        return match(
            {"foot": numbers(3), "stem": numbers(3)},
            [group(2, "foot", "stem")],
            joints=[JointSizes("j", feet, sized("stem", "20.02", [0, 9, 31]), WANTED)],
            stacks=[StackSizes("height", ((1, feet), (1, stems)), wanted)],
            visible=[VisibleSizes("v", feet)],
            fixed=[
                Fixed("set", 1, (("foot", 1), ("stem", 2))),
                Fixed("set", 2, (("foot", 3), ("stem", 1)), (("height", dec("100.070"), None),)),
            ],
        )

    searched = []
    monkeypatch.setattr(Statement, "_component", lambda *_: searched.append(1))
    at_once = told()
    assert not searched
    monkeypatch.undo()
    monkeypatch.setattr(Statement, "_assembled", lambda _: False)
    assert told() == at_once
    assert at_once.sizes_inside is (upper == "100.095")


def test_heights_within_nothing_instead_of_a_tenth() -> None:
    result = match(
        {"foot": numbers(3), "stem": numbers(3)},
        [group(3, "foot", "stem")],
        stacks=[
            StackSizes(
                "height",
                ((1, sized("foot", "20", [0, 20, 50])), (1, sized("stem", "80", [0, 30, 50]))),
            )
        ],
    )
    assert pieces(result) == [(1, 3), (2, 2), (3, 1)]
    [spread] = result.spreads
    assert (spread.reached, spread.bound, spread.in_making_order) == (0, 0, dec("0.100"))
    assert result.proven and result.joints_proven


def test_fits_come_before_the_spread() -> None:
    # The even heights would need bore 1 on spigot 2, which is too tight.
    bores = sized("cup", "8", [20, 40])
    spigots = sized("stem", "8", [0, 20])
    result = match(
        {"cup": numbers(2), "stem": numbers(2)},
        [group(2, "cup", "stem")],
        joints=[JointSizes("slide", bores, spigots, WANTED)],
        stacks=[
            StackSizes(
                "height", ((1, sized("cup", "30", [0, 50])), (1, sized("stem", "80", [0, 50])))
            )
        ],
    )
    assert pieces(result) == [(1, 1), (2, 2)]
    assert (result.joints.inside, result.joints.out) == (2, 0)
    assert result.spreads[0].reached == result.spreads[0].bound == dec("0.100")
    assert result.spreads[0].in_making_order == dec("0.100")


def test_overall_size_inside_its_limits_comes_before_the_spread() -> None:
    stack = ((1, sized("foot", "20", [0, 0, 30, 30])), (1, sized("stem", "80", [0, 0, 0, 5])))
    live = {"foot": numbers(4), "stem": numbers(4)}
    free = match(live, [group(2, "foot", "stem")], stacks=[StackSizes("h", stack)])
    assert free.spreads[0].reached == 0
    tight = match(
        live,
        [group(2, "foot", "stem")],
        stacks=[StackSizes("h", stack, Limits(dec("100.001"), dec("100.032"), MM))],
    )
    assert tight.sizes_inside and tight.spreads[0].reached == 0
    assert {size.size for item in tight.items for size in item.sizes} == {dec("100.030")}
    hopeless = match(
        live,
        [group(2, "foot", "stem")],
        stacks=[StackSizes("h", stack, Limits(dec(1), dec(2), MM))],
    )
    assert not hopeless.sizes_inside and hopeless.spreads[0].reached == 0
    judged = hopeless.items[0].sizes[0].judgement
    assert judged is not None and judged.verdict is Verdict.HIGH


def test_groups_take_their_reserved_pieces_and_no_others() -> None:
    bright = group(2, "cup", id="bright")
    black = group(2, "cup", id="blackened", only=(("cup", (1, 2, 5)),))
    result = match({"cup": numbers(5)}, [bright, black])
    assert [(i.group, i.pieces) for i in result.items] == [
        ("bright", (("cup", 3),)),
        ("bright", (("cup", 4),)),
        ("blackened", (("cup", 1),)),
        ("blackened", (("cup", 2),)),
    ]
    assert result.spares == (("cup", 5),)
    assert result.shortages == ()


def test_too_few_pieces_leave_items_open_and_say_why() -> None:
    bright = group(2, "cup", "foot", id="bright")
    black = group(2, "cup", "foot", id="blackened", only=(("cup", (1, 2)),))
    result = match({"cup": (1, 3, 4), "foot": numbers(4)}, [bright, black])
    assert [i.group for i in result.items] == ["bright", "bright", "blackened"]
    assert result.shortages == (Shortage("cup", (black,), 2, 1),)
    nothing = match({"cup": ()}, [group(1, "cup")])
    assert nothing.items == () and nothing.spares == ()


def test_assembled_pieces_stay_put_and_their_measured_size_counts() -> None:
    stack = StackSizes(
        "h", ((1, sized("foot", "20", [0, 10, 20])), (1, sized("stem", "80", [0, 10, 20])))
    )
    result = match(
        {"foot": numbers(3), "stem": numbers(3)},
        [group(3, "foot", "stem")],
        stacks=[stack],
        fixed=[
            Fixed("set", 2, (("foot", 3), ("stem", 3)), (("h", dec("100.020"), dec("0.005")),)),
            Fixed("set", 3, (("stem", 1),)),
        ],
    )
    assert pieces(result)[1] == (3, 3)
    assert dict(result.items[2].pieces)["stem"] == 1
    assert result.items[1].sizes[0].measured and result.items[1].sizes[0].size == dec("100.020")
    # Foot 2 with stem 1 and foot 1 with stem 2 make 10 each, 10 less than the finished one.
    assert result.spreads[0].reached == result.spreads[0].bound == dec("0.010")


def test_an_assembled_piece_without_a_size_is_no_obstacle() -> None:
    stack = StackSizes("h", ((1, sized("foot", "20", [0, 10])), (1, sized("stem", "80", [0, 10]))))
    result = match(
        {"foot": (1, 2, 3, 4), "stem": (1, 2, 3)},
        [group(3, "foot", "stem")],
        stacks=[stack],
        fixed=[Fixed("set", 1, (("foot", 3), ("stem", 3)))],
    )
    assert result.unmeasured == (("foot", 4),)
    assert pieces(result) == [(3, 3), (1, 2), (2, 1)]
    assert result.items[0].sizes == () and result.spreads[0].reached == 0


def test_pins_and_bans() -> None:
    stack = StackSizes(
        "h", ((1, sized("foot", "20", [0, 20, 50])), (1, sized("stem", "80", [0, 30, 50])))
    )
    live: Mapping[str, Sequence[int]] = {"foot": numbers(3), "stem": numbers(3)}
    pinned = match(
        live,
        [group(3, "foot", "stem")],
        stacks=[stack],
        bans=[Ban((("foot", 1), ("stem", 1)), together=True)],
    )
    assert pieces(pinned)[0] == (1, 1)
    assert pinned.spreads[0].reached == pinned.spreads[0].bound == dec("0.080")
    apart = match(
        live,
        [group(3, "foot", "stem")],
        stacks=[stack],
        bans=[Ban((("foot", 1), ("stem", 3)), together=False)],
    )
    assert (1, 3) not in pieces(apart)
    with pytest.raises(ValueError, match="kept together or apart"):
        match(
            {"foot": (1,), "stem": (1,)},
            [group(1, "foot", "stem")],
            bans=[Ban((("foot", 1), ("stem", 1)), together=False)],
        )


def test_several_pieces_of_a_part_in_one_item() -> None:
    pair = ItemGroup("lamp", "lamp", 2, (("ring", 2), ("post", 1)))
    rings = sized("ring", "5", [0, 10, 20, 30])
    result = match(
        {"ring": numbers(4), "post": numbers(2)},
        [pair],
        stacks=[StackSizes("h", ((1, rings), (1, sized("post", "50", [0, 0]))))],
    )
    assert sorted(tuple(n for p, n in i.pieces if p == "ring") for i in result.items) == [
        (1, 4),
        (2, 3),
    ]
    assert result.spreads[0].reached == 0


def test_visible_dimension_decides_which_pieces_stay_spare() -> None:
    result = match(
        {"cup": numbers(5)},
        [group(3, "cup")],
        visible=[VisibleSizes("rim", sized("cup", "40", [0, 30, 9, 31, 32]))],
    )
    assert result.spares == (("cup", 1), ("cup", 3))
    assert result.spreads[0].reached == result.spreads[0].bound == dec("0.002")
    assert result.spreads[0].in_making_order == dec("0.030")


def test_contradictions_are_refused() -> None:
    live = {"foot": numbers(2), "stem": numbers(2)}
    two = [group(2, "foot", "stem")]
    one = Fixed("set", 1, (("foot", 1),))
    for fixed, bans, said in (
        ([Fixed("set", 3, ())], [], "no item 3"),
        ([one, one], [], "assembled twice"),
        ([one, Fixed("set", 2, (("foot", 1),))], [], "two items"),
        ([Fixed("set", 1, (("foot", 9),))], [], "no live piece"),
        ([Fixed("set", 1, (("foot", 1), ("foot", 2)))], [], "holds 2 of foot, but takes 1"),
        (
            [one, Fixed("set", 2, (("stem", 1),))],
            [Ban((("foot", 1), ("stem", 1)), together=True)],
            "assembled apart",
        ),
        (
            [Fixed("set", 1, (("foot", 1), ("stem", 1)))],
            [Ban((("foot", 1), ("stem", 1)), together=False)],
            "assembled together",
        ),
    ):
        with pytest.raises(ValueError, match=said):
            match(live, two, fixed=fixed, bans=bans)


def test_out_of_steps_gives_the_best_found_with_its_bound_and_the_same_again() -> None:
    stack = StackSizes(
        "h",
        (
            (1, sized("foot", "20", [0, 7, 19, 40, 66])),
            (1, sized("stem", "80", [0, 31, 12, 55, 23])),
        ),
    )
    result, again = (
        match(
            {"foot": numbers(5), "stem": numbers(5)},
            [group(5, "foot", "stem")],
            stacks=[stack],
            steps=1,
        )
        for _ in range(2)
    )
    assert result == again
    assert len(result.items) == 5 and not result.proven
    assert 0 <= result.spreads[0].bound < result.spreads[0].reached


# -- every small case against trying everything --------------------------------------------------

small = st.integers(0, 24)


def rows(count: int) -> st.SearchStrategy[list[int]]:
    return st.lists(small, min_size=count, max_size=count)


def arrangements(counts: Sequence[int], items: int) -> Iterator[tuple[tuple[int, ...], ...]]:
    """Every way to give each of the items one piece of each part."""
    for first in itertools.combinations(numbers(counts[0]), items):
        for rest in itertools.product(
            *(itertools.permutations(numbers(count), items) for count in counts[1:])
        ):
            yield tuple(zip(first, *rest, strict=True))


@settings(derandomize=True, deadline=None, max_examples=30)
@given(
    bore=rows(4),
    spigot=rows(4),
    cup=rows(4),
    stem=rows(4),
    foot=rows(3),
    rule=st.sampled_from(list(Rule)),
    limited=st.booleans(),
    ban=st.sampled_from(["", "together", "apart"]),
    who=st.tuples(st.integers(1, 4), st.integers(1, 3)),
)
def test_matching_is_what_trying_everything_finds(
    bore: list[int],
    spigot: list[int],
    cup: list[int],
    stem: list[int],
    foot: list[int],
    rule: Rule,
    limited: bool,
    ban: str,
    who: tuple[int, int],
) -> None:
    bores, spigots = sized("cup", "8.01", bore, "0.002"), sized("stem", "7.99", spigot, "0.001")
    heights = [sized("cup", "30", cup), sized("stem", "80", stem), sized("foot", "20", foot)]
    bounds = Limits(dec("130.020"), dec("130.060"), MM)
    table = {
        (pair.inside.number, pair.outside.number): pair.verdict
        for row in clearances(bores, spigots, WANTED, decision=DecisionRule(rule))
        for pair in row
    }
    bans = [Ban((("cup", who[0]), ("foot", who[1])), together=ban == "together")] if ban else []

    def height(chain: tuple[int, ...]) -> Decimal:
        return sum((some[n - 1].value for some, n in zip(heights, chain, strict=True)), dec(0))

    def merit(chains: Sequence[tuple[int, ...]]) -> tuple[int, int, bool, Decimal, Decimal]:
        verdicts = [table[c, s] for c, s, _ in chains]
        sizes = [height(chain) for chain in chains]
        seen = [heights[0][chain[0] - 1].value for chain in chains]
        return (
            sum(v is not Verdict.GOOD for v in verdicts),
            sum(v.out for v in verdicts),
            limited and not all(bounds.contains(size) for size in sizes),
            max(sizes) - min(sizes),
            max(seen) - min(seen),
        )

    def permitted(chains: Sequence[tuple[int, ...]]) -> bool:
        cups, feet = [c for c, _, _ in chains], [f for _, _, f in chains]
        same = any((c, f) == who for c, _, f in chains)
        if ban == "apart":
            return not same
        if ban == "together":
            return same or (who[0] not in cups and who[1] not in feet)
        return True

    tried = [merit(chains) for chains in arrangements((4, 4, 3), 3) if permitted(chains)]
    result = match(
        {"cup": numbers(4), "stem": numbers(4), "foot": numbers(3)},
        [group(3, "cup", "stem", "foot")],
        joints=[JointSizes("slide", bores, spigots, WANTED)],
        stacks=[
            StackSizes("height", tuple((1, some) for some in heights), bounds if limited else None)
        ],
        visible=[VisibleSizes("cup height", heights[0])],
        bans=bans,
        decision=DecisionRule(rule),
        gap=0.0,
    )
    chains = pieces(result)
    assert permitted([(c, s, f) for c, s, f in chains])
    assert merit([(c, s, f) for c, s, f in chains]) == min(tried)
    assert result.joints_proven
    assert result.proven
    assert len(set(result.spares)) == 2


@settings(derandomize=True, deadline=None, max_examples=20)
@given(
    sizes=st.lists(rows(4), min_size=6, max_size=6),
    reserved=st.sets(st.integers(1, 4), min_size=1, max_size=2),
    held=st.booleans(),
)
def test_rings_of_joints_groups_and_assembled_pieces_against_trying_everything(
    sizes: list[list[int]], reserved: set[int], held: bool
) -> None:
    # Three parts, each joined to both others, and no spares; one or two feet are reserved for
    # the group of one, and a stem may be in its item already.
    live = {"cup": numbers(3), "stem": numbers(3), "foot": numbers(4)}
    a, b = sized("cup", "8.01", sizes[0][:3]), sized("stem", "7.99", sizes[1][:3])
    c, d = sized("stem", "6.01", sizes[2][:3]), sized("foot", "5.99", sizes[3])
    e, f = sized("foot", "4.01", sizes[4]), sized("cup", "3.99", sizes[5][:3])
    joints = [
        JointSizes("one", a, b, WANTED),
        JointSizes("two", c, d, WANTED),
        JointSizes("three", e, f, WANTED),
    ]
    heights = sized("cup", "30", sizes[5][:3]), sized("foot", "20", sizes[1])

    def merit(chains: Sequence[tuple[int, ...]]) -> tuple[int, Decimal]:
        out = 0
        for cup, stem, foot in chains:
            for inner, outer in (
                (a[cup - 1], b[stem - 1]),
                (c[stem - 1], d[foot - 1]),
                (e[foot - 1], f[cup - 1]),
            ):
                out += not WANTED.contains(inner.value - outer.value)
        total = [heights[0][x - 1].value + heights[1][z - 1].value for x, _, z in chains]
        return out, max(total) - min(total)

    def permitted(chains: Sequence[tuple[int, ...]]) -> bool:
        # The first of the arrangement is the item of the group of one.
        feet = [foot for _, _, foot in chains]
        fine = feet[0] in reserved and not reserved & set(feet[1:])
        return fine and (not held or chains[0][1] == 2)

    tried = [
        merit(chains)
        for order in itertools.permutations(range(3))
        for found in arrangements((3, 3, 4), 3)
        if permitted(chains := [found[k] for k in order])
    ]
    result = match(
        live,
        [
            group(1, "cup", "stem", "foot", id="dark", only=(("foot", tuple(sorted(reserved))),)),
            group(2, "cup", "stem", "foot", id="bright"),
        ],
        joints=joints,
        stacks=[StackSizes("height", tuple((1, some) for some in heights))],
        fixed=[Fixed("dark", 1, (("stem", 2),))] if held else [],
        gap=0.0,
    )
    chains = [(x, y, z) for x, y, z in pieces(result)]
    assert permitted(chains)
    assert merit(chains) == min(tried)
    assert result.proven


def test_the_same_data_give_the_same_choice() -> None:
    values = [
        [3, 17, 8, 21, 5, 12, 19, 2],
        [11, 4, 23, 9, 1, 16, 7, 20],
        [6, 14, 22, 0, 18, 10, 13, 5],
    ]
    parts = ("cup", "stem", "foot")
    stack = StackSizes(
        "h", tuple((1, sized(p, "20", v)) for p, v in zip(parts, values, strict=True))
    )
    live = dict.fromkeys(parts, numbers(8))
    first = match(live, [group(7, *parts)], stacks=[stack])
    again = match(live, [group(7, *parts)], stacks=[stack])
    assert first == again
