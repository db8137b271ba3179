"""What stands, for any SQLite tool: views over the entries, corrected and withdrawn ones left out.

Verdicts are in none of them: they depend on the drawing, the rule and what is known of an
instrument by now, and a column that kept yesterday's would be a second answer.
"""

from __future__ import annotations

_STANDS = "NOT EXISTS (SELECT 1 FROM entry s WHERE s.supersedes = e.id)"

READING_CURRENT = f"""
CREATE VIEW reading_current AS
SELECT e.id AS entry, f.part, f.op, f.dimension, f.piece, f.typed, f.value,
  CASE WHEN f.value IN ('go', 'no-go') THEN NULL ELSE CAST(f.value AS REAL) END AS number,
  CASE f.value WHEN 'go' THEN 1 WHEN 'no-go' THEN 0 END AS passed,
  f.unit, f.instrument, f.temperature, f.instrument_temperature, f.note,
  e.made, e.entered, e.revision, e.person
FROM reading f JOIN entry e ON e.id = f.entry WHERE {_STANDS}"""

ITEM_PIECES = f"""
CREATE VIEW item_pieces AS
SELECT e.id AS entry, f.item, f.part, f.piece, f.note, e.made
FROM assembly f JOIN entry e ON e.id = f.entry WHERE {_STANDS}"""

PHOTO_CURRENT = f"""
CREATE VIEW photo_current AS
SELECT p.entry, p.sha256, p.name, p.format, p.width, p.height, p.taken, p.offset,
  l.part, l.op, l.piece, l.item, l.dimension, l.caption, l.audience, l.cover, l.proposed
FROM photo p LEFT JOIN placement l ON l.entry = (
  SELECT max(f.entry) FROM placement f JOIN entry e ON e.id = f.entry
  WHERE f.sha256 = p.sha256 AND {_STANDS})
WHERE p.entry = (SELECT min(q.entry) FROM photo q WHERE q.sha256 = p.sha256)"""

OPERATION_STATE = f"""
CREATE VIEW operation_state AS
WITH live AS (SELECT e.id, e.made FROM entry e WHERE {_STANDS}),
places AS (
  SELECT part, op, piece FROM done JOIN live ON live.id = entry
  UNION SELECT part, op, piece FROM reading JOIN live ON live.id = entry
  UNION SELECT part, op, piece FROM gap JOIN live ON live.id = entry)
SELECT p.part, p.op, p.piece,
  (SELECT max(live.made) FROM done d JOIN live ON live.id = d.entry
   WHERE d.part = p.part AND d.op = p.op AND d.piece = p.piece) AS done,
  (SELECT count(*) FROM reading r JOIN live ON live.id = r.entry
   WHERE r.part = p.part AND r.op = p.op AND r.piece = p.piece) AS readings,
  (SELECT count(*) FROM gap g JOIN live ON live.id = g.entry
   WHERE g.part = p.part AND g.op = p.op AND g.piece = p.piece) AS gaps,
  (SELECT x.decision FROM disposition x JOIN live ON live.id = x.entry
   WHERE x.part = p.part AND x.piece = p.piece ORDER BY x.entry DESC LIMIT 1) AS decision
FROM places p"""

VIEWS = (READING_CURRENT, ITEM_PIECES, PHOTO_CURRENT, OPERATION_STATE)
