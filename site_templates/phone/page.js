// The bench on a phone. It asks and shows; every rule and every verdict is the laptop's.
"use strict";

const $ = (id) => document.getElementById(id);
const TEXTS = JSON.parse($("texts").textContent);
const LABELS = $("labels").dataset;
const say = (key, values = {}) =>
  (TEXTS[key] ?? key).replace(/\{(\w+)\}/g, (_, name) => values[name] ?? "");

// op: the operation shown; place: what is read now; mine: what this phone did here, newest last.
// seen: the newest entry of the log that an answer spoke of; an older picture of it is not shown.
// with: the instrument by dimension and the warmth of the pieces, where chosen here.
const bench = {
  seen: 0, op: null, item: null, place: null, typed: "", last: null, mine: [], later: new Set(), acts: [],
  with: { tools: {}, temperature: "", hot: false },
};
const AT_ONE_SITTING = 2 * 3600e3; // what was chosen for a sitting is forgotten after it (milliseconds)

function make(tag, text = "", attributes = {}) {
  const made = document.createElement(tag);
  made.textContent = text;
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  return made;
}

function drawn(tag, attributes) {
  const made = document.createElementNS("http://www.w3.org/2000/svg", tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  return made;
}

function shape(name) {
  const svg = drawn("svg", { class: `shape shape-${name}`, "aria-hidden": "true", viewBox: "0 0 16 16" });
  svg.append(drawn("use", { href: `#shape-${name}` }));
  return svg;
}

function button(text, then, className = "") {
  const made = make("button", text, { type: "button", class: className });
  made.addEventListener("click", then);
  return made;
}

const key = (dimension, piece) => `${dimension}|${piece}`;
const named = (piece) => `${bench.op.part.id}-${bench.op.part.marks[piece] ?? piece}`;
const dimension = (id) => bench.op.dimensions.find((d) => d.id === id);

// Questions: one at a time, in a dialog that says what each answer does.

let talking = Promise.resolve();

function ask(question) {
  const answered = talking.then(() => put(question));
  talking = answered.catch(() => {});
  return answered;
}

function put({ title, text = "", input = null, buttons }) {
  const dialog = $("ask");
  $("ask-title").textContent = title;
  $("ask-text").textContent = text;
  $("ask-field").hidden = input === null;
  $("ask-label").textContent = input ?? "";
  $("ask-input").value = "";
  return new Promise((done) => {
    let chosen = null;
    const end = (value) => {
      chosen = value;
      dialog.close();
    };
    $("ask-buttons").replaceChildren(
      ...buttons.map((b) => button(b.label, () => end(b.value), b.class ?? "")),
      button(LABELS.close, () => end(null), "quiet"),
    );
    // The next question waits for the closing to be told, or it would be closed by it.
    dialog.addEventListener("close", () => done({ value: chosen, text: $("ask-input").value.trim() }), { once: true });
    dialog.showModal();
  });
}

// Views.

function show(view) {
  for (const name of ["start", "before", "read", "item", "sheet"]) $(`view-${name}`).hidden = name !== view;
  $("back").hidden = view === "start";
  document.body.dataset.view = view;
}

function heading(text) {
  $("title").textContent = text;
  document.title = text;
}

async function showState() {
  bench.acts = await Queue.all();
  const unsent = bench.acts.length;
  const settle = bench.acts.some((a) => a.state !== "waits");
  const said = [];
  if (settle) said.push(say("asks"));
  else if (unsent) said.push(say("unsent", { n: unsent }));
  else said.push(say("sent"));
  if (!Sending.state.reach) said.push(say("away"));
  $("state").replaceChildren(shape(unsent || !Sending.state.reach ? "wait" : "good"), said.join(", "));
  $("state").dataset.unsent = unsent;
  $("state").className = settle ? "asks" : unsent || !Sending.state.reach ? "waits" : "";
  notice(Sending.state.barred ? say("new_code") : Sending.state.trouble);
}

function notice(text) {
  if ($("notice").textContent !== text) $("notice").textContent = text;
  $("notice").hidden = !text;
}

// Counted up by every view that is asked for: what was fetched for an earlier one comes too late.
let opened = 0;

async function route() {
  opened += 1;
  bench.typed = "";
  if ($("ask").open) $("ask").close(); // a question about the view that was left
  const [, part, op, piece] = location.hash.match(/^#op\/([^/]+)\/(\d+)(?:\/(\d+))?/) ?? [];
  if (part) return openOperation(decodeURIComponent(part), op, piece ? Number(piece) : null);
  const [, item] = location.hash.match(/^#item\/(.+)$/) ?? [];
  if (item) return openItem(decodeURIComponent(item));
  if (location.hash === "#sheet") {
    heading(LABELS.title);
    return show("sheet");
  }
  return openStart();
}

async function fetched(what, path) {
  let fresh = await Sending.get(path);
  while (fresh?.entry < bench.seen) fresh = await Sending.get(path); // made before the last answer
  if (fresh !== null) {
    await Queue.keep(what, fresh);
    return fresh;
  }
  return (await Queue.kept(what)) ?? null;
}

async function openStart() {
  heading(LABELS.title);
  show("start");
  const page = await fetched("start", "/start");
  await showState();
  if (page === null || document.body.dataset.view !== "start") return;
  heading(page.title);
  $("no-next").hidden = page.next.length > 0;
  $("next").replaceChildren(...page.next.map((step) => {
    const row = make("li");
    row.append(make("a", step.text, { href: `#op/${encodeURIComponent(step.part)}/${step.op}`, class: "big" }));
    return row;
  }));
  $("all").replaceChildren(...page.parts.flatMap((part) => {
    const list = make("ul", "", { class: "rows" });
    list.append(...part.ops.map((op) => {
      const row = make("li");
      const link = make("a", "", { href: `#op/${encodeURIComponent(part.id)}/${op.number}` });
      const waits = op.waits ? say("waits", { n: op.waits }) : op.open ? say("open", { n: op.open }) : say("nothing");
      link.append(make("span", say("op", { op: op.number, name: op.name })), make("small", waits));
      row.append(link);
      return row;
    }));
    return [make("h3", part.name), list];
  }));
  $("h-items").hidden = !page.items?.length;
  $("items").replaceChildren(...(page.items ?? []).map((item) => {
    const row = make("li");
    row.append(make("a", item.name, { href: `#item/${encodeURIComponent(item.id)}` }));
    return row;
  }));
}

// A finished item: nothing is read on it here, photos are taken of it.
async function openItem(id) {
  const turn = opened;
  const mine = (await Queue.kept(`mine/item/${id}`)) ?? [];
  const known = await Queue.kept("start");
  const acts = await Queue.all();
  if (turn !== opened) return;
  Object.assign(bench, { item: id, op: null, place: null, last: null, typed: "", mine, acts });
  heading(known?.items?.find((item) => item.id === id)?.name ?? id);
  show("item");
  showItem();
  await showState();
}

function showItem() {
  $("item-said").textContent = bench.last?.answer?.text ?? (bench.last ? say("photo_here") : "");
  showCamera();
}

async function openOperation(part, op, piece) {
  const what = `op/${part}/${op}`;
  const turn = opened;
  const page = await fetched(what, `/operation/${encodeURIComponent(part)}/${op}`);
  if (turn !== opened) return undefined;
  if (page === null) {
    show("start");
    await showState();
    return notice(Sending.state.barred ? say("new_code") : say("offline_op"));
  }
  const mine = (await Queue.kept(`mine/${what}`)) ?? [];
  const chosen = await Queue.kept(`with/${what}`);
  const acts = await Queue.all();
  if (turn !== opened) return undefined;
  // All at once: an answer that comes in between never finds the place of one operation in another.
  Object.assign(bench, { op: page, item: null, last: null, typed: "", later: new Set(), mine, acts });
  bench.with = chosen && Date.now() - chosen.at < AT_ONE_SITTING ? chosen : { tools: {}, temperature: "", hot: false };
  bench.place = piece === null ? null : page.places.map(placed).find((p) => p.piece === piece) ?? null;
  heading(`${page.part.name} ${page.op.number}`);
  const begun = page.started || bench.acts.some((a) => a.body.act === "start" && here(a));
  const set = (page.set ?? []).filter((s) => s.value);
  if (begun || !(page.cautions.length || set.length)) {
    await openReading();
  } else {
    $("cautions").replaceChildren(...page.cautions.map((text) => make("li", text)));
    $("set").hidden = !set.length;
    $("set-last").replaceChildren(...set.map((s) => make("li", `${s.name} ${s.value}`)));
    show("before");
    await showState();
  }
  return undefined;
}

async function openReading() {
  show("read");
  await showState();
  showPlace();
  if (bench.op.new_day) await otherDay();
}

async function refresh() {
  if (!bench.op) return;
  const { part, op } = bench.op;
  const page = await fetched(`op/${part.id}/${op.number}`, `/operation/${encodeURIComponent(part.id)}/${op.number}`);
  if (page && bench.op?.part.id === page.part.id && bench.op.op.number === page.op.number) {
    bench.op = page;
    if (!bench.typed) showPlace();
  }
}

async function otherDay() {
  const first = nextPlace();
  const day = bench.op.new_day;
  bench.op.new_day = null;
  if (!first) return;
  const { value } = await ask({
    title: LABELS.tool,
    text: say("new_day", { day, piece: named(first.piece) }),
    buttons: [
      { label: say("yes_new"), value: "new" },
      { label: say("no_same"), value: "same", class: "main" },
    ],
  });
  if (value === "new") await enter({ act: "setup", piece: first.piece, cause: "new day" });
}

// Places.

const placed = ([id, piece]) => ({ dimension: id, piece, again: false });
const here = (act) => (bench.item
  ? act.body.item === bench.item
  : bench.op && act.body.part === bench.op.part.id && String(act.body.op) === String(bench.op.op.number));
const whereIs = () => (bench.item ? { item: bench.item } : { part: bench.op.part.id, op: bench.op.op.number });
// The instrument that was chosen for a dimension on this phone; null for the planned one.
const tool = (asked) => asked.instruments.find((i) => i.id === bench.with.tools[asked.id]) ?? null;

function taken() {
  const own = bench.acts.filter((a) => here(a) && ["reading", "skip"].includes(a.body.act));
  return new Set(own.map((a) => key(a.body.dimension, a.body.piece)));
}

function waiting() {
  const busy = taken();
  const scrapped = new Set([
    ...bench.op.scrapped,
    ...bench.acts.filter((a) => here(a) && a.body.act === "scrap").map((a) => a.body.piece),
  ]);
  const places = bench.op.places.map(placed);
  return Sheet.ordered(places).filter((p) => !busy.has(key(p.dimension, p.piece)) && !scrapped.has(p.piece));
}

const same = (place) => ([id, piece]) => key(id, piece) === key(place.dimension, place.piece);

// A place is full from the moment something is typed for it, and empty again when that is dropped.
function fill(place) {
  bench.op.places = bench.op.places.filter((other) => !same(place)(other));
}

function empty(place) {
  if (place.again || bench.op.places.some(same(place))) return;
  const rank = ([id, piece]) => bench.op.dimensions.findIndex((d) => d.id === id) * 1e4 + piece;
  bench.op.places = [...bench.op.places, [place.dimension, place.piece]].sort((a, b) => rank(a) - rank(b));
}

const nextPlace = () => waiting().find((p) => !bench.later.has(key(p.dimension, p.piece))) ?? null;

function showPlace() {
  if (bench.op === null) return; // an item was opened meanwhile
  if (bench.place && !dimension(bench.place.dimension)) bench.place = null; // the drawing was changed
  const place = (bench.place ??= nextPlace());
  const left = waiting().length;
  $("finished").hidden = place !== null;
  for (const id of ["place", "entry", "pad", "outcome"]) $(id).hidden = place === null;
  if (place === null) {
    $("finished").textContent = left ? say("later", { n: left }) : say("all_read");
    Sheet.hide();
  } else {
    const asked = dimension(place.dimension);
    const other = tool(asked);
    const warm = bench.with.hot ? LABELS.hot : bench.with.temperature && `${bench.with.temperature} °C`;
    $("piece").replaceChildren(
      make("strong", named(place.piece)), " ", make("span", asked.name), " ",
      place.again ? make("em", say("again_for")) : "",
    );
    $("asked").replaceChildren(
      make("span", `${asked.callout}`, { class: "callout" }), " ", asked.go ? "" : `${asked.required} `,
      make("small", [other ? "" : asked.instrument, say("left", { n: left })].filter(Boolean).join(" · ")),
      ...(asked.go ? [] : [other?.name, warm].filter(Boolean).flatMap((text) => [" ", make("b", text)])),
    );
    $("pad").hidden = $("entry").hidden = asked.go;
    $("outcome").hidden = !asked.go;
    $("pad").dataset.unit = (other ?? asked).fraction ? "inch" : "mm";
    $("unit").textContent = (other ?? asked).unit;
    Sheet.show(place);
  }
  $("typed").textContent = bench.typed;
  showLast();
  showCamera();
}

// The answer to the last reading: verdict in word, shape and colour, the strip, the trend.

function showLast() {
  const last = bench.last;
  const box = $("last");
  box.className = "";
  box.scrollTop = 0; // the verdict first
  if (last === null) return box.replaceChildren();
  const answer = last.answer;
  if (!last.place) return box.replaceChildren(make("p", answer?.text ?? say("kept_here")));
  const name = `${named(last.place.piece)} ${dimension(last.place.dimension).name}`;
  if (!answer?.reading) {
    box.className = "waits";
    const line = make("p", "", { class: "verdict" });
    line.append(shape("wait"), `${name} ${last.text}: ${answer?.text ?? say("kept_here")}`);
    return box.replaceChildren(line);
  }
  const { reading } = answer;
  box.className = reading.shape;
  const line = make("p", "", { class: "verdict" });
  line.append(shape(reading.shape), make("strong", reading.word), ` ${name} ${reading.value}`);
  box.replaceChildren(line);
  if (reading.where) box.append(make("p", reading.where));
  if (reading.share !== null) box.append(strip(answer.column, last.place.piece));
  for (const c of answer.computed ?? []) {
    const under = make("p", "", { class: "verdict" });
    under.append(shape(c.shape), ` ${c.text}`);
    box.append(under);
  }
  if (answer.trend) box.append(make("p", answer.trend, { class: "trend" }));
  return undefined;
}

function strip(column, newest) {
  const readings = Object.entries(column).filter(([, r]) => r.share !== null);
  const svg = drawn("svg", { class: "strip", viewBox: "0 0 320 28", role: "img" });
  const title = drawn("title", {});
  title.textContent = `${LABELS.strip}: ${readings.map(([p, r]) => `${p} ${r.value} ${r.word}`).join(", ")}`;
  svg.append(title, drawn("path", { class: "zone", d: "M70 4H250V24H70Z" }));
  svg.append(drawn("path", { class: "limit", d: "M70 0V28M250 0V28" }));
  if (readings.every(([, r]) => r.middle)) svg.append(drawn("path", { class: "middle", d: "M160 6V22" }));
  for (const [piece, r] of readings) {
    const at = Math.min(312, Math.max(8, 70 + 180 * r.share));
    const now = Number(piece) === newest;
    const size = now ? 18 : 10;
    svg.append(drawn("use", {
      href: `#shape-${r.shape}`, x: at - size / 2, y: 14 - size / 2, width: size, height: size,
      class: now ? `now shape-${r.shape}` : `shape-${r.shape}`,
    }));
  }
  return svg;
}

// A photo belongs to the reading on the screen: the one being typed, else the one just entered.
function photoPlace() {
  const body = whereIs();
  if (bench.item) return body;
  const at = bench.typed || !bench.last?.place ? bench.place : bench.last.place;
  if (at) body.piece = at.piece;
  if (at && (bench.typed || bench.last?.place)) body.dimension = at.dimension;
  return body;
}

const alike = (one, other) => ["part", "op", "piece", "dimension", "item"].every((k) => one[k] === other[k]);

function showCamera() {
  const at = photoPlace();
  const what = {
    piece: at.item ? $("title").textContent : at.piece ? named(at.piece) : bench.op.part.name,
    dimension: at.dimension ? dimension(at.dimension).name : "",
  };
  const text = say("photo_of", what).trim();
  const n = bench.mine.filter((step) => step.photo && alike(step.photo, at)).length;
  const camera = $(bench.item ? "item-camera" : "camera");
  camera.setAttribute("aria-label", text);
  camera.parentElement.querySelector("span").textContent = n ? `${text} · ${say("taken", { n })}` : text;
}

// Entering: first onto the phone's disk, then to the laptop.

async function enter(body, { place = null, text = "" } = {}) {
  const act = {
    id: Queue.name(), kind: "act", at: Date.now(), state: "waits",
    body: { ...whereIs(), ...body },
  };
  if (place) Object.assign(act.body, { dimension: place.dimension, piece: place.piece });
  const turn = opened;
  if (!(await stored(act))) return null;
  if (body.act !== "undo") await remember(act.body, { id: act.id, act: body.act, place });
  if (turn === opened) bench.last = { id: act.id, place: body.act === "reading" ? place : null, text, answer: null };
  await showState();
  Sending.send();
  return act;
}

// False, and said on the page, when the browser could not write it down: nothing is lost unseen.
async function stored(act) {
  try {
    await Queue.add(act);
    return true;
  } catch {
    notice(say("storage_full"));
    return false;
  }
}

// What this phone did at a place stays with that place, whichever view is open by then.
const listOf = (body) => (body.item ? `mine/item/${body.item}` : `mine/op/${body.part}/${body.op}`);

async function changeMine(body, change) {
  const what = listOf(body);
  const shown = (bench.item || bench.op) && listOf(whereIs()) === what;
  const changed = change(shown ? bench.mine : (await Queue.kept(what)) ?? []);
  if (shown) bench.mine = changed;
  await Queue.keep(what, changed.filter((s) => !s.later));
}

const remember = (body, step) => changeMine(body, (mine) => [...mine, step]);

async function enterReading(text) {
  const place = bench.place;
  if (!text.trim() || place === null) return;
  bench.typed = "";
  bench.place = null;
  fill(place);
  showPlace(); // the next place takes digits at once: none is dropped while this one is written down
  const asked = dimension(place.dimension);
  const body = { act: "reading", text };
  if (!asked.go) {
    if (tool(asked)) body.instrument = tool(asked).id;
    if (bench.with.temperature) body.temperature = bench.with.temperature;
    if (bench.with.hot) body.hot = true;
  }
  if (place.again) body.again = true;
  const turn = opened;
  if ((await enter(body, { place, text })) === null && turn === opened) {
    bench.typed = text;
    bench.place = place;
    empty(place);
  }
  showPlace();
}

Sending.listen(async (act, answer) => {
  bench.seen = Math.max(bench.seen, answer?.entry ?? 0);
  await showState();
  if (act === null) return;
  if (bench.last?.id === act.id && answer.status === "entered") bench.last.answer = answer;
  if (document.body.dataset.view === "item") showItem();
  if (bench.op && here(act) && answer.status === "entered") {
    if (act.body.act === "reading" && answer.column) {
      const asked = dimension(act.body.dimension);
      if (asked) asked.read = answer.column;
      fill(act.body);
      await Queue.keep(`op/${bench.op.part.id}/${bench.op.op.number}`, bench.op);
    } else if (act.kind !== "photo") {
      await refresh();
    }
  }
  if (document.body.dataset.view === "read") {
    showLast();
    if (!bench.typed) showPlace();
    if (answer.status !== "entered" && here(act)) settle(act);
  }
});

// What the laptop did not enter at once: the one question, or why not.

async function settle(act) {
  const { answer, body } = act;
  const place = { dimension: body.dimension, piece: body.piece, again: body.again === true };
  const value = body.text ?? "";
  const buttons = [];
  if (act.state === "asks") {
    if (answer.retype !== null) buttons.push({ label: say("take", { value: answer.retype }), value: "take", class: "main" });
    if (answer.burr) buttons.push({ label: say("again", { piece: named(answer.about) }), value: "again" });
    buttons.push({ label: say("keep", { value }), value: "keep" }, { label: say("anew"), value: "anew" });
    buttons.push({ label: say("drop"), value: "drop" });
  } else if (act.state === "conflict") {
    buttons.push({ label: say("replace"), value: "replace" }, { label: say("leave"), value: "drop", class: "main" });
  } else {
    buttons.push({ label: say("retry"), value: "retry" });
    if (body.act === "reading") buttons.push({ label: say("anew"), value: "anew" });
    buttons.push({ label: say("drop"), value: "drop" });
  }
  const title = act.state === "asks" ? say("question") : say("refused");
  const got = await ask({ title: `${title} ${listed(act)}`, text: answer.text ?? "", buttons });
  if (got.value === null) return;
  await settled(act, got.value, place);
}

async function settled(act, value, place) {
  const { answer, body } = act;
  if (value === "drop" || value === "anew") {
    await Queue.remove(act.seq);
    await changeMine(body, (mine) => mine.filter((step) => step.id !== act.id));
    if (here(act) && place.dimension) empty(place);
    if (value === "anew" && here(act)) bench.place = place;
    if (bench.last?.id === act.id) bench.last = null;
  } else {
    if (value === "take") Object.assign(body, { text: answer.retype, kept: [] });
    if (value === "keep" || value === "again") body.kept = [...(body.kept ?? []), answer.check];
    if (value === "replace") body.again = true;
    if (value === "again" && here(act)) bench.place = { ...place, piece: answer.about, again: true };
    Object.assign(act, { state: "waits", answer: null });
    await Queue.change(act);
    if (bench.last?.id === act.id) bench.last.text = body.text ?? "";
  }
  await showState();
  if (bench.op) showPlace();
  Sending.send();
}

function listed(act) {
  const { body } = act;
  const own = bench.op && bench.op.part.id === body.part ? bench.op.part.marks : {};
  const piece = body.item ?? (body.piece ? `${body.part}-${own[body.piece] ?? body.piece}` : body.part);
  const values = { piece, dimension: body.dimension ?? "", value: body.text ?? "", act: say(`act.${body.act}`) };
  if (act.kind === "photo") return say("list_photo", values).trim();
  return say(body.act === "reading" ? "list_reading" : "list_act", values);
}

async function showWaiting() {
  const open = bench.acts.find((a) => a.state !== "waits");
  if (open) return settle(open);
  if (!bench.acts.length) return Sending.send();
  const { value } = await ask({
    title: LABELS.waiting,
    text: bench.acts.map(listed).join("; "),
    buttons: [{ label: say("retry"), value: "send", class: "main" }],
  });
  if (value) Sending.send();
  return undefined;
}

// The keys.

const keys = {
  async skip() {
    if (bench.place === null) {
      bench.later.clear();
      return showPlace();
    }
    const { value, text } = await ask({
      title: LABELS.skip, text: `${named(bench.place.piece)} ${dimension(bench.place.dimension).name}`, input: LABELS.why,
      buttons: [
        { label: LABELS.later, value: "later", class: "main" },
        { label: LABELS.purpose, value: "skipped" },
        { label: LABELS.cannot, value: "cannot" },
      ],
    });
    const place = bench.place;
    if (value === null || place === null) return undefined;
    bench.typed = "";
    bench.place = null;
    if (value === "later") {
      if (!place.again) {
        bench.later.add(key(place.dimension, place.piece));
        bench.mine.push({ later: true, place });
      }
      bench.last = { id: "", place: null, answer: { text: say("put_off", { place: named(place.piece) }) } };
    } else {
      fill(place);
      await enter({ act: "skip", kind: value, why: text }, { place });
    }
    return showPlace();
  },
  async undo() {
    const again = () => (bench.item ? showItem() : showPlace());
    if (bench.typed) {
      bench.typed = "";
      return again();
    }
    const step = bench.mine.pop();
    if (!step) {
      bench.last = { id: "", place: null, answer: { text: say("no_undo") } };
      return again();
    }
    await changeMine(whereIs(), (mine) => mine);
    if (step.later) {
      bench.later.delete(key(step.place.dimension, step.place.piece));
    } else {
      const open = (await Queue.all()).find((a) => a.id === step.id && a.state !== "waits");
      if (open) {
        await Queue.remove(open.seq);
        if (step.place) empty(step.place);
      } else await enter({ act: "undo", undo: step.id });
      bench.last = { ...(bench.last ?? { id: "" }), place: null, answer: { text: say("undoing") } };
    }
    if (step.place) bench.place = { ...step.place };
    await showState();
    return again();
  },
  async more() {
    const number = bench.place !== null && !dimension(bench.place.dimension).go;
    const { value } = await ask({
      title: LABELS.more,
      text: bench.op.left,
      buttons: [
        { label: LABELS.scrap, value: "scrap" }, { label: LABELS.note, value: "note" },
        { label: LABELS.tool, value: "tool" }, { label: LABELS.settings, value: "settings" },
        { label: LABELS.pieces, value: "pieces" },
        ...(number ? [{ label: LABELS.instrument, value: "instrument" }, { label: LABELS.warm, value: "warm" }] : []),
        { label: LABELS.done, value: "done" }, { label: LABELS.cautions, value: "cautions" },
      ],
    });
    return value && keys[value]();
  },
  async scrap() {
    const likely = bench.last?.answer?.reading?.out ? bench.last.place.piece : bench.place?.piece;
    const pieces = bench.op.pieces.filter((p) => !bench.op.scrapped.includes(p));
    pieces.sort((a, b) => (b === likely) - (a === likely) || a - b);
    const { value, text } = await ask({
      title: LABELS.scrap, input: LABELS.why,
      buttons: pieces.map((p) => ({ label: named(p), value: p, class: p === likely ? "main" : "small" })),
    });
    if (value === null) return;
    if (!text) return void keys.scrap();
    await enter({ act: "scrap", piece: value, why: text });
    if (bench.place?.piece === value) bench.place = null;
    showPlace();
  },
  async note() {
    const piece = bench.last?.place?.piece ?? bench.place?.piece;
    const { value, text } = await ask({
      title: LABELS.note, text: piece ? named(piece) : bench.op.part.name, input: LABELS.text,
      buttons: [{ label: LABELS.note, value: "note", class: "main" }],
    });
    if (value === null || !text) return;
    await enter({ act: "note", text, ...(piece ? { piece } : {}) });
    showPlace();
  },
  async tool() {
    const piece = bench.place?.piece;
    if (!piece) return;
    const { value, text } = await ask({
      title: LABELS.tool, text: named(piece), input: LABELS.note,
      buttons: [
        { label: LABELS.changed, value: "tool change", class: "main" },
        { label: LABELS.retouch, value: "re-touch" }, { label: LABELS.offset, value: "offset" },
      ],
    });
    if (value === null) return;
    await enter({ act: "setup", piece, cause: value, note: text });
    showPlace();
  },
  async settings() {
    const { value: one } = await ask({
      title: LABELS.settings,
      buttons: (bench.op.set ?? []).map((s) => ({ label: `${s.name}: ${s.value || "…"}`, value: s, class: "small" })),
    });
    if (!one) return;
    const { value, text } = await ask({
      title: one.name, text: one.value, input: LABELS.set_to,
      buttons: [{ label: LABELS.set_down, value: "set", class: "main" }],
    });
    if (value === null || !text) return;
    const piece = bench.place?.piece;
    await enter({ act: "set", what: one.what, text, ...(piece ? { piece } : {}) });
    showPlace();
  },
  async instrument() {
    const asked = dimension(bench.place.dimension);
    const now = tool(asked);
    const planned = asked.instrument ? [{ label: asked.instrument, value: "", class: now ? "" : "main" }] : [];
    const { value } = await ask({
      title: LABELS.instrument, text: asked.name,
      buttons: [...planned, ...asked.instruments.map((i) => ({ label: i.name, value: i.id, class: i === now ? "main" : "" }))],
    });
    if (value !== null) await choose((chosen) => { chosen.tools[asked.id] = value; });
  },
  async warm() {
    const { value, text } = await ask({
      title: LABELS.warm, input: LABELS.degrees,
      buttons: [
        { label: LABELS.set, value: "set", class: "main" }, { label: LABELS.hot, value: "hot" },
        { label: LABELS.cool, value: "none" },
      ],
    });
    if (value === null) return undefined;
    if (value === "set" && !/^-?\d+([.,]\d+)?$/.test(text)) return keys.warm();
    return choose((chosen) => Object.assign(chosen, { temperature: value === "set" ? text : "", hot: value === "hot" }));
  },
  async pieces() {
    const buttons = bench.op.dimensions.flatMap((d) => bench.op.pieces.map((p) => {
      const read = d.read[p];
      const gone = bench.op.scrapped.includes(p) ? say("scrapped") : d.gaps[p];
      const stands = read ? `${read.value} ${read.word}` : gone ?? "…";
      return { label: `${named(p)} ${d.name}: ${stands}`, value: { dimension: d.id, piece: p, again: Boolean(read) }, class: "small" };
    }));
    const { value } = await ask({ title: LABELS.pieces, buttons });
    if (value === null) return;
    bench.typed = "";
    bench.place = value;
    showPlace();
  },
  async done() {
    const { value } = await ask({
      title: LABELS.done, text: bench.op.to_mark.map(named).join(", "),
      buttons: [{ label: LABELS.done, value: "done", class: "main" }],
    });
    if (value) await enter({ act: "done" });
    showPlace();
  },
  cautions: () => ask({ title: LABELS.cautions, text: bench.op.cautions.join(" · "), buttons: [] }),
};

// Holds for this operation until it is chosen otherwise; outlives a reload.
async function choose(change) {
  change(bench.with);
  const { part, op } = bench.op;
  await Queue.keep(`with/op/${part.id}/${op.number}`, { ...bench.with, at: Date.now() });
  showPlace();
}

function press(sign) {
  if (bench.place === null || dimension(bench.place.dimension).go) return;
  if (sign === "back") bench.typed = bench.typed.slice(0, -1);
  else if (bench.typed.length < 24) bench.typed += sign;
  $("typed").textContent = bench.typed;
  showCamera();
}

$("pad").addEventListener("click", (event) => {
  const sign = event.target.closest("[data-key]")?.dataset.key;
  if (sign) press(sign);
});
$("enter").addEventListener("click", () => enterReading(bench.typed));
// A thumb that hits twice has not judged the next piece (milliseconds).
const TWICE = 700;
let judged = -TWICE;
$("outcome").addEventListener("click", (event) => {
  const text = event.target.closest("[data-text]")?.dataset.text;
  if (!text || event.timeStamp - judged < TWICE) return;
  judged = event.timeStamp;
  enterReading(text);
});
for (const id of ["skip", "undo", "more"]) $(id).addEventListener("click", () => keys[id]());
$("state").addEventListener("click", showWaiting);
$("back").addEventListener("click", () => { location.hash = ""; });
$("begin").addEventListener("click", async () => {
  if (!bench.op || bench.op.started) return;
  const turn = opened;
  bench.op.started = true;
  await enter({ act: "start" });
  if (turn !== opened) return;
  bench.mine = bench.mine.filter((s) => s.act !== "start");
  await openReading();
});
document.addEventListener("keydown", (event) => {
  if ($("ask").open || $("view-read").hidden || event.ctrlKey || event.metaKey || event.altKey) return;
  const onButton = event.target.closest?.("button, a, input, label");
  if (event.key === "Enter" && !onButton) enterReading(bench.typed);
  else if (event.key === "Backspace") press("back");
  else if (/^[0-9.,/-]$/.test(event.key) || (event.key === " " && !onButton)) press(event.key);
  else return;
  event.preventDefault();
});

async function takePhoto({ target }) {
  const file = target.files[0];
  if (!file) return;
  const body = photoPlace();
  const photo = { id: Queue.name(), kind: "photo", at: Date.now(), state: "waits", body, data: await file.arrayBuffer() };
  target.value = "";
  const turn = opened;
  if (!(await stored(photo))) return;
  await remember(body, { id: photo.id, act: "photo", place: null, photo: body });
  if (turn !== opened) return void Sending.send();
  if (bench.item) bench.last = { id: photo.id, place: null, answer: null };
  await showState();
  if (bench.item) showItem();
  else showCamera();
  Sending.send();
}
for (const id of ["camera", "item-camera"]) $(id).addEventListener("change", takePhoto);
$("item-undo").addEventListener("click", () => keys.undo());
$("scan").addEventListener("change", async ({ target }) => {
  const file = target.files[0];
  if (!file) return;
  const found = await Sending.scan(file);
  target.value = "";
  if (!found.part) return notice(say("no_code"));
  location.hash = `#op/${encodeURIComponent(found.part)}/${found.op}${found.piece ? `/${found.piece}` : ""}`;
});

window.addEventListener("hashchange", route);
window.addEventListener("load", async () => {
  try {
    await Queue.all();
  } catch {
    return notice(say("storage"));
  }
  await route();
  Sending.send();
});
