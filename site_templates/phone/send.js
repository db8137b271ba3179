// Sending: one thing after the other, again and again until there is an answer.
"use strict";

const Sending = (() => {
  const state = { reach: true, barred: false, trouble: "" };
  let busy = false, asked = false, timer = 0, pause = 1000;
  let heard = async () => {};

  async function post(act) {
    const headers = { "X-Qlog-Phone": "1" };
    const waited = Math.max(0, (Date.now() - act.at) / 1000);
    if (act.kind === "photo") {
      const query = new URLSearchParams({ ...act.body, id: act.id, waited });
      headers["Content-Type"] = "application/octet-stream";
      return fetch(`/photo?${query}`, {
        method: "POST", headers, body: act.data, signal: AbortSignal.timeout(120000),
      });
    }
    headers["Content-Type"] = "application/json";
    return fetch("/act", {
      method: "POST", headers, signal: AbortSignal.timeout(20000),
      body: JSON.stringify({ ...act.body, id: act.id, waited }),
    });
  }

  // True when the next one may go; nothing leaves the phone without an answer of the laptop's log.
  async function one(act) {
    let response, answer;
    try {
      response = await post(act);
      answer = response.headers.get("Content-Type")?.includes("json") ? await response.json() : {};
    } catch {
      state.reach = false;
      return false;
    }
    state.reach = true;
    state.barred = response.status === 403;
    state.trouble = response.status >= 500 ? answer.text ?? "" : "";
    if (state.barred || response.status === 429 || response.status >= 500) return false;
    pause = 1000;
    if (response.ok && answer.status === "entered") {
      await Queue.remove(act.seq);
    } else {
      act.state = answer.status === "question" ? "asks" : answer.status === "conflict" ? "conflict" : "refused";
      act.answer = answer;
      await Queue.change(act);
    }
    await heard(act, answer);
    return true;
  }

  async function round() {
    for (const act of (await Queue.all()).filter((a) => a.state === "waits")) {
      if (!(await one(act))) return false;
    }
    return true;
  }

  async function send() {
    asked = true;
    if (busy) return;
    busy = true;
    clearTimeout(timer);
    let whole = true;
    try {
      while (asked && whole) {
        asked = false;
        whole = await round();
      }
    } finally {
      busy = false;
    }
    if (!whole) {
      timer = setTimeout(send, pause);
      pause = Math.min(pause * 2, 15000);
    }
    await heard(null, null);
  }

  window.addEventListener("online", () => { pause = 1000; send(); });
  document.addEventListener("visibilitychange", () => { if (!document.hidden) send(); });

  async function get(path) {
    try {
      const response = await fetch(path, { signal: AbortSignal.timeout(20000) });
      state.reach = true;
      state.barred = response.status === 403;
      return response.ok ? await response.json() : null;
    } catch {
      state.reach = false;
      return null;
    }
  }

  async function scan(file) {
    try {
      const response = await fetch("/scan", {
        method: "POST", headers: { "X-Qlog-Phone": "1", "Content-Type": "application/octet-stream" },
        body: file, signal: AbortSignal.timeout(60000),
      });
      return response.ok ? await response.json() : {};
    } catch {
      state.reach = false;
      return {};
    }
  }

  return { state, send, get, scan, listen: (then) => { heard = then; } };
})();
