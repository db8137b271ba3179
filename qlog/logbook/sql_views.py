"""What stands, for any SQLite tool: views over the entries, corrected and withdrawn ones left out.

Verdicts are in none of them: they depend on the drawing, the rule and what is known of an
instrument by now, and a column that kept yesterday's would be a second answer.
"""

from __future__ import annotations

_STANDS = "NOT EXISTS (SELECT 1 FROM entry s WHERE s.supersedes = e.id)"

#: Entries of a piece that was made anew since are of the earlier one.
_OF_THIS_MAKING = """NOT EXISTS (
  SELECT 1 FROM remade m WHERE m.part = f.part AND m.piece = f.piece AND m.entry > f.entry
  AND NOT EXISTS (SELECT 1 FROM entry s WHERE s.supersedes = m.entry))"""

READING_CURRENT = f"""
CREATE VIEW reading_current AS
SELECT e.id AS entry, f.part, f.op, f.dimension, f.piece, f.typed, f.value,
  CASE WHEN f.value IN ('go', 'no-go') THEN NULL ELSE CAST(f.value AS REAL) END AS number,
  CASE f.value WHEN 'go' THEN 1 WHEN 'no-go' THEN 0 END AS passed,
  f.unit, f.instrument, f.temperature, f.instrument_temperature, f.note,
  e.made, e.entered, e.revision, e.person
FROM reading f JOIN entry e ON e.id = f.entry WHERE {_STANDS} AND {_OF_THIS_MAKING}"""

ITEM_PIECES = f"""
CREATE VIEW item_pieces AS
SELECT e.id AS entry, f.item, f.part, f.piece, f.note, e.made
FROM assembly f JOIN entry e ON e.id = f.entry WHERE {_STANDS} AND {_OF_THIS_MAKING}"""

PHOTO_CURRENT = f"""
CREATE VIEW photo_current AS
SELECT p.entry, p.sha256, p.name, p.format, p.width, p.height, p.taken, p.offset,
  l.part, l.op, l.piece, l.item, l.dimension, l.caption, l.audience, l.cover, l.proposed
FROM photo p LEFT JOIN placement l ON l.entry = (
  SELECT max(f.entry) FROM placement f JOIN entry e ON e.id = f.entry
  WHERE f.sha256 = p.sha256 AND {_STANDS})
WHERE p.entry = (SELECT min(q.entry) FROM photo q WHERE q.sha256 = p.sha256)"""


def _of(kind: str, what: str) -> str:
    """One figure of the live entries of a kind at a place of `operation_state`."""
    return f"""(SELECT {what} FROM {kind} f JOIN entry e ON e.id = f.entry
   WHERE f.part = p.part AND f.op = p.op AND f.piece = p.piece
   AND {_STANDS} AND {_OF_THIS_MAKING})"""


def _places(kind: str) -> str:
    return (
        f"SELECT f.part, f.op, f.piece FROM {kind} f JOIN entry e ON e.id = f.entry "
        f"WHERE {_STANDS} AND {_OF_THIS_MAKING}"
    )


OPERATION_STATE = f"""
CREATE VIEW operation_state AS
SELECT p.part, p.op, p.piece,
  {_of("done", "max(e.made)")} AS done,
  {_of("reading", "count(*)")} AS readings,
  {_of("gap", "count(*)")} AS gaps,
  (SELECT f.decision FROM disposition f JOIN entry e ON e.id = f.entry
   WHERE f.part = p.part AND f.piece = p.piece AND {_STANDS} AND {_OF_THIS_MAKING}
   ORDER BY f.entry DESC LIMIT 1) AS decision
FROM ({_places("done")} UNION {_places("reading")} UNION {_places("gap")}) p"""

SETTING_CURRENT = f"""
CREATE VIEW setting_current AS
SELECT e.id AS entry, f.part, f.op, f.piece, f.what, f.value, f.unit, e.made, e.person
FROM setting f JOIN entry e ON e.id = f.entry WHERE {_STANDS}"""

#: Those of version 6; a later one stands in the migration that brought it.
VIEWS = (READING_CURRENT, ITEM_PIECES, PHOTO_CURRENT, OPERATION_STATE)
