// The photo of a filled-in sheet beside the places to type into, cell by cell.
"use strict";

const Sheet = (() => {
  const ACROSS = 5; // dimensions side by side on a sheet; more of them stand in a further table
  const sheet = { url: "", op: "", corners: [], quads: {}, marking: false };
  const byId = (id) => document.getElementById(id);
  const active = () => Boolean(sheet.url) && bench.op && sheet.op === `${bench.op.part.id}/${bench.op.op.number}`;
  const table = (id) => Math.floor(bench.op.dimensions.findIndex((d) => d.id === id) / ACROSS);

  // As the sheet is read: table by table, row by row.
  function ordered(places) {
    if (!active()) return places;
    const column = (p) => bench.op.dimensions.findIndex((d) => d.id === p.dimension);
    return [...places].sort((a, b) =>
      table(a.dimension) - table(b.dimension) || a.piece - b.piece || column(a) - column(b));
  }

  // From the unit square to four corners seen in perspective (Heckbert 1989, square to quad).
  function projected([a, b, c, d], u, v) {
    const sx = a.x - b.x + c.x - d.x, sy = a.y - b.y + c.y - d.y;
    const dx1 = b.x - c.x, dx2 = d.x - c.x, dy1 = b.y - c.y, dy2 = d.y - c.y;
    const under = dx1 * dy2 - dx2 * dy1;
    const g = (sx * dy2 - dx2 * sy) / under, h = (dx1 * sy - sx * dy1) / under;
    const w = g * u + h * v + 1;
    return {
      x: ((b.x - a.x + g * b.x) * u + (d.x - a.x + h * d.x) * v + a.x) / w,
      y: ((b.y - a.y + g * b.y) * u + (d.y - a.y + h * d.y) * v + a.y) / w,
    };
  }

  function hide() {
    byId("sheet-cell").hidden = true;
  }

  function show(place) {
    if (!active()) return hide();
    const number = table(place.dimension);
    const quad = sheet.quads[number];
    if (!quad) return sheet.marking ? look() : mark();
    const inTable = bench.op.dimensions.filter((d) => table(d.id) === number);
    const column = inTable.findIndex((d) => d.id === place.dimension);
    const row = bench.op.pieces.indexOf(place.piece);
    const at = (du, dv) => projected(quad, (column + du) / inTable.length, (row + dv) / bench.op.pieces.length);
    const box = byId("sheet-cell"), photo = byId("cell-photo"), frame = byId("cell-frame");
    box.hidden = false;
    const middle = at(0.5, 0.5), left = at(0, 0.5), right = at(1, 0.5), top = at(0.5, 0), bottom = at(0.5, 1);
    const wide = Math.hypot(right.x - left.x, right.y - left.y);
    const high = Math.hypot(bottom.x - top.x, bottom.y - top.y);
    const scale = Math.min((box.clientWidth * 0.5) / wide, (box.clientHeight * 0.6) / high);
    photo.src = sheet.url;
    photo.alt = say("cell", { piece: named(place.piece), dimension: dimension(place.dimension).name });
    photo.style.transform = `translate(${box.clientWidth / 2 - middle.x * scale}px, ${box.clientHeight / 2 - middle.y * scale}px) scale(${scale})`;
    frame.style.width = `${wide * scale}px`;
    frame.style.height = `${high * scale}px`;
    return undefined;
  }

  function mark() {
    Object.assign(sheet, { corners: [], marking: true });
    document.querySelectorAll("#sheet-photo .corner").forEach((c) => c.remove());
    look();
  }

  // Shown again when something was sent meanwhile: corners already marked stay.
  function look() {
    byId("corners").hidden = false;
    byId("view-sheet").hidden = false;
    byId("view-read").hidden = true;
    byId("back").hidden = false;
    document.body.dataset.view = "sheet";
  }

  function corner(event) {
    const image = byId("sheet-image");
    const box = image.getBoundingClientRect();
    const scale = image.naturalWidth / box.width;
    const at = { x: (event.clientX - box.left) * scale, y: (event.clientY - box.top) * scale };
    sheet.corners.push(at);
    const dot = document.createElement("span");
    dot.className = "corner";
    dot.style.left = `${event.clientX - box.left}px`;
    dot.style.top = `${event.clientY - box.top}px`;
    byId("sheet-photo").append(dot);
    if (sheet.corners.length < 4) return;
    sheet.marking = false;
    const place = nextPlace();
    sheet.quads[place ? table(place.dimension) : 0] = sheet.corners;
    openReading();
  }

  async function choose(file) {
    const found = await Sending.scan(file);
    if (!found.part) return notice(say("no_code"));
    notice("");
    if (sheet.url) URL.revokeObjectURL(sheet.url);
    Object.assign(sheet, { url: URL.createObjectURL(file), op: `${found.part}/${found.op}`, quads: {}, marking: false });
    byId("sheet-image").src = sheet.url;
    await Queue.add({
      id: Queue.name(), kind: "photo", at: Date.now(), state: "waits",
      body: { part: found.part, op: found.op }, data: await file.arrayBuffer(),
    });
    Sending.send();
    history.replaceState(null, "", `#op/${encodeURIComponent(found.part)}/${found.op}`);
    return openOperation(found.part, found.op, null);
  }

  window.addEventListener("load", () => {
    byId("sheet-file").addEventListener("change", ({ target }) => target.files[0] && choose(target.files[0]));
    byId("sheet-image").addEventListener("click", corner);
    byId("corners-again").addEventListener("click", mark);
  });

  return { ordered, show, hide };
})();
