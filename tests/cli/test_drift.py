"""`qlog drift`: the trend test speaks, Kendall's exact test looks once more at a finished batch."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from scipy.stats import kendalltau

from tests.cli.moved_bore import read_moved
from tests.conftest import Ran

Run = Callable[..., Ran]

WORN = [22.040, 22.037, 22.034, 22.030, 22.027, 22.025, 22.021]
#: Nothing but scatter, and one burr that a straight line could trip over.
STEADY = [22.021, 22.024, 22.019, 22.022, 22.025, 22.020, 22.048]


def seven(folder: Path) -> None:
    plan = folder / "build.toml"
    text = plan.read_text("utf-8").replace("needed = 3\nspare = 1", "needed = 7\nspare = 0")
    plan.write_text(text, "utf-8")


def read(run: Run, values: list[float]) -> None:
    for piece, value in enumerate(values, 1):
        assert run("read", "cup", "20", "bore", str(piece), f"{value:.3f}").status == 0


def test_a_finished_batch_is_put_to_kendall_too(build_dir: Path, run: Run) -> None:
    seven(build_dir)
    read(run, WORN[:6])
    assert run("drift", "cup").status == 1
    assert "Kendall" not in run("drift", "cup").out  # one piece is still to come
    read(run, WORN)
    out = run("drift", "cup").out
    assert out.startswith(
        "look  cup socket: It is shrinking by about 0.0031 mm a piece since piece 1."
    )
    assert "Kendall's trend test of the finished batch" in out
    assert "agrees: falling" in out
    (told,) = json.loads(run("drift", "cup", "--json").out)["dimensions"]
    reference = kendalltau(range(1, 8), WORN, method="exact")
    assert abs(told["kendall"]["p"] - reference.pvalue) < 1e-12
    assert told["kendall"]["score"] == -21


def test_a_steady_batch_with_one_burr_stays_quiet(build_dir: Path, run: Run) -> None:
    seven(build_dir)
    read(run, STEADY)
    ran = run("drift", "cup")
    assert ran.status == 0
    assert "Kendall" not in ran.out
    assert "No drift was found" in ran.out


def test_stream_drift_status_and_page_tell_the_same_and_when_to_re_touch(
    build_dir: Path, run: Run
) -> None:
    plan = build_dir / "build.toml"
    text = plan.read_text("utf-8").replace("needed = 3\nspare = 1", "needed = 20\nspare = 0")
    plan.write_text(text, "utf-8")
    worn = [f"{22.040 - 0.003 * i:.3f}" for i in range(8)]
    said = run("read", "cup", "20", "bore", stdin="\n".join(worn) + "\n").out
    sentence = "It is shrinking by about 0.003 mm a piece since piece 1."
    # Pieces 14 and 15 would be 22.001 and 21.998: the limit is likeliest passed with one of them.
    # Piece 13 would be 22.004, the middle of the tolerance is 22.025.
    again = "At this rate, re-touch by +0.021 mm after piece 13."
    (told,) = json.loads(run("drift", "cup", "--json").out)["dimensions"]
    assert told["sentence"].startswith(sentence) and told["sentence"].endswith(again)
    assert f"  {told['sentence']}\n" in said
    found = [f for f in json.loads(run("status", "--json").out)["findings"] if f["kind"] == "drift"]
    assert found[0]["text"].endswith(told["sentence"])
    assert run("record").status == 0
    page = build_dir / "record" / "maker" / "dimensions" / "cup-bore.html"
    assert sentence in page.read_text("utf-8").replace("\N{NARROW NO-BREAK SPACE}", " ")

    # The touched tool wears as it did before: that is known before five readings show it.
    assert run("setup", "cup", "20", "9", "re-touch").status == 0
    said = run("read", "cup", "20", "bore", stdin="22.030\n22.027\n22.024\n").out
    (told,) = json.loads(run("drift", "cup", "--json").out)["dimensions"]
    earlier = "At this tool's earlier rate, re-touch by"
    assert told["setups"][-1]["retouch"]["earlier_rate"]
    assert said.count(earlier) == 1 and "drift is judged from the 5th reading on." in said
    assert said[said.index(earlier) :].startswith(
        told["sentence"][told["sentence"].index(earlier) :]
    )


@pytest.mark.parametrize(
    ("moved", "instrument", "said"),
    [
        ([22.040 - 0.002 * i for i in range(16)], "", "touch the tool up"),
        ([22.010 + 0.002 * i for i in range(16)], "", "find what moves"),  # a bore that grows
        ([22.020 + 0.015 * (i >= 8) for i in range(16)], "", "look at tool, clamping and stop"),
        ([22.030 - 0.020 * 2.718 ** (-i / 1.5) for i in range(16)], "", "leave the tool as it is"),
        ([22.020 + 0.015 * (i >= 8) for i in range(16)], "caliper", "leave the tool as it is"),
    ],
)
def test_what_to_do_follows_what_was_found(
    build_dir: Path, run: Run, moved: list[float], instrument: str, said: str
) -> None:
    read_moved(build_dir, run, moved, needed=18, halfway=instrument)
    findings = json.loads(run("status", "--json").out)["findings"]
    (found,) = [f for f in findings if f["kind"] == "drift"]
    assert found["remedy"].startswith(said)
    # Kendall's test of the finished batch knows up and down alone: it agrees with no jump.
    used = ("-i", instrument) if instrument else ()
    for piece in range(17, 20):
        run("read", "cup", "20", "bore", str(piece), f"{moved[-1]:.3f}", *used)
    out = run("drift", "cup").out
    assert ("Kendall" in out) == ("It is growing" in out or "It is shrinking" in out)
