"""The readings beside the pages."""

import csv
import io
import json
from decimal import Decimal

from qlog.record.publish import data_files
from tests.demo_record import Demo


def test_every_live_reading_is_there_once_and_exact(shown: Demo) -> None:
    folder = shown.edition("maker")
    with (folder / "readings.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    readings = [
        r for part in shown.picture.parts for series in part.series for r in series.readings
    ]
    assert len(rows) == len(readings) > 100
    assert tuple(rows[0]) == data_files.COLUMNS
    for row, reading in zip(rows, readings, strict=True):
        assert int(row["entry"]) == reading.entry
        assert row["typed"].removeprefix("'") == reading.typed  # text where a comma stands in it
        if reading.value is not None:
            assert Decimal(row["value"]) == reading.value
        else:
            assert row["value"] == "" and row["passed"] in ("true", "false")
    data = json.loads((folder / "readings.json").read_text(encoding="utf-8"))
    assert data["edition"] == "maker"
    assert [r["entry"] for r in data["readings"]] == [r.entry for r in readings]
    assert all(r["value"] is None or isinstance(r["value"], str) for r in data["readings"])


def test_a_cell_that_a_spreadsheet_would_run_is_made_text() -> None:
    rows = [{"a": "=SUM(A1)", "b": "-0.005"}, {"a": '@x, "y"', "b": None}]
    text = "".join(data_files.as_csv(rows, ("a", "b")))
    assert text == 'a,b\r\n\'=SUM(A1),-0.005\r\n"\'@x, ""y""",\r\n'
    assert list(csv.reader(io.StringIO(text)))[1] == ["'=SUM(A1)", "-0.005"]
