"use strict";
// The picture of all steps: point, tap or use the arrow keys to see a step's
// numbers and find it in the table.
(() => {
  const box = document.getElementById("step-picture");
  if (!box) return;
  const said = document.getElementById("step-said");
  const metric = document.getElementById("metric");
  const table = document.getElementById("step-table");
  const canvas = document.createElement("canvas");
  box.append(canvas);
  const height = 240, pad = { left: 46, right: 10, top: 24, bottom: 34 };
  let data = { points: [], label: "", unit: "", digits: 0 };
  let places = [];
  let at = -1;

  const colour = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();

  async function load() {
    const answer = await fetch(box.dataset.from + "/steps.json?metric=" + encodeURIComponent(metric.value));
    if (!answer.ok) { said.textContent = "The steps could not be loaded."; return; }
    data = await answer.json();
    if (at >= data.points.length) at = -1;
    draw();
  }

  // bounds spans the middle 99 % of the values, so that one odd step does not
  // press the others together; what lies outside is drawn at the edge.
  function bounds() {
    const v = data.points.map((p) => p.v).filter((x) => x !== null).sort((a, b) => a - b);
    if (v.length === 0) return null;
    let lo = v[Math.floor(0.005 * (v.length - 1))], hi = v[Math.ceil(0.995 * (v.length - 1))];
    if (lo === hi) { lo -= 1; hi += 1; }
    const room = 0.06 * (hi - lo);
    return { lo: lo - room, hi: hi + room, t0: data.points[0].t, t1: data.points[data.points.length - 1].t };
  }

  function mark(g, p, x, y, r) {
    g.beginPath();
    if (p.side === "right") { g.moveTo(x, y - r * 1.2); g.lineTo(x + r * 1.1, y + r); g.lineTo(x - r * 1.1, y + r); g.closePath(); }
    else g.arc(x, y, r, 0, 7);
    if (p.used) g.fill(); else g.stroke();
  }

  function tick(lo, hi) {
    const raw = (hi - lo) / 5, p = Math.pow(10, Math.floor(Math.log10(raw)));
    return [1, 2, 5, 10].map((k) => k * p).find((s) => s >= raw);
  }

  function draw() {
    const width = Math.max(260, box.clientWidth), scale = window.devicePixelRatio || 1;
    canvas.width = width * scale; canvas.height = height * scale;
    const g = canvas.getContext("2d");
    g.scale(scale, scale);
    g.clearRect(0, 0, width, height);
    places = [];
    const b = bounds();
    g.font = "13px " + getComputedStyle(document.body).fontFamily;
    g.fillStyle = colour("--ink");
    if (!b) { g.fillText("Not measured in this recording.", 16, 40); return; }
    const X = (t) => pad.left + (t - b.t0) / Math.max(1e-9, b.t1 - b.t0) * (width - pad.left - pad.right);
    const Y = (v) => height - pad.bottom - (Math.min(b.hi, Math.max(b.lo, v)) - b.lo) / (b.hi - b.lo) * (height - pad.top - pad.bottom);
    g.textBaseline = "middle"; g.textAlign = "right";
    const dy = tick(b.lo, b.hi);
    for (let v = Math.ceil(b.lo / dy) * dy; v <= b.hi; v += dy) {
      g.strokeStyle = colour("--rule"); g.beginPath(); g.moveTo(pad.left, Y(v)); g.lineTo(width - pad.right, Y(v)); g.stroke();
      g.fillText(String(Math.round(v * 1000) / 1000), pad.left - 6, Y(v));
    }
    g.textAlign = "center";
    const dx = tick(b.t0, b.t1);
    for (let t = Math.ceil(b.t0 / dx) * dx; t <= b.t1; t += dx) g.fillText(String(Math.round(t * 100) / 100), X(t), height - pad.bottom + 12);
    g.textAlign = "right"; g.fillText("s", width - pad.right, height - 6);
    g.textAlign = "left"; g.fillText(data.label + (data.unit ? " (" + data.unit + ")" : ""), 4, 11);
    g.globalAlpha = data.points.length > 1500 ? 0.35 : 0.75;
    for (let i = 0; i < data.points.length; i++) {
      const p = data.points[i];
      if (p.v === null) { places.push(null); continue; }
      const x = X(p.t), y = Y(p.v);
      places.push([x, y]);
      g.fillStyle = g.strokeStyle = colour(p.side === "right" ? "--right" : "--left");
      mark(g, p, x, y, data.points.length > 1500 ? 2 : 3);
    }
    g.globalAlpha = 1;
    if (at >= 0 && places[at]) {
      const [x, y] = places[at];
      g.strokeStyle = colour("--ink"); g.lineWidth = 2;
      g.beginPath(); g.arc(x, y, 8, 0, 7); g.stroke();
      g.lineWidth = 1;
    }
  }

  function say(p) {
    const value = p.v === null ? "not measured" : p.v.toFixed(data.digits) + (data.unit ? " " + data.unit : "");
    said.textContent = p.side + " step " + p.n + " at " + p.t.toFixed(2) + " s: " + data.label + " " + value +
      (p.used ? "" : ", not used") + (p.why ? " (" + p.why + ")" : "") + ".";
  }

  function pick(i) {
    if (i < 0 || i >= data.points.length) return;
    at = i;
    say(data.points[i]);
    draw();
  }

  function nearest(e) {
    const r = canvas.getBoundingClientRect();
    const x = e.clientX - r.left, y = e.clientY - r.top;
    let best = -1, least = 900; // within 30 pixels
    places.forEach((q, i) => {
      if (!q) return;
      const d = (q[0] - x) ** 2 + (q[1] - y) ** 2;
      if (d < least) { least = d; best = i; }
    });
    return best;
  }

  function markRow(scroll) {
    for (const row of table.querySelectorAll(".marked")) row.classList.remove("marked");
    const row = at < 0 ? null : document.getElementById("step-" + data.points[at].id);
    if (!row) return null;
    row.classList.add("marked");
    if (scroll) row.scrollIntoView({ block: "nearest" });
    return row;
  }

  // find brings the page of the table that holds the step.
  async function find(scroll) {
    if (at < 0) return null;
    return markRow(scroll) || (await turn("step=" + encodeURIComponent(data.points[at].id)), markRow(scroll));
  }

  async function turn(query) {
    const answer = await fetch(box.dataset.from + "/steps?" + query);
    if (answer.ok) table.innerHTML = await answer.text(); // made and escaped by the server
  }

  let soon = 0;
  box.addEventListener("pointermove", (e) => {
    if (e.pointerType !== "mouse") return;
    const i = nearest(e);
    if (i < 0 || i === at) return;
    pick(i);
    clearTimeout(soon);
    soon = setTimeout(() => find(false), 120);
  });
  box.addEventListener("click", (e) => { const i = nearest(e); if (i >= 0) { pick(i); find(true); } });
  box.addEventListener("keydown", async (e) => {
    const go = { ArrowRight: 1, ArrowLeft: -1, PageDown: 20, PageUp: -20 }[e.key];
    if (go) {
      e.preventDefault();
      let i = Math.min(data.points.length - 1, Math.max(0, at + go));
      pick(i);
      find(false);
    } else if (e.key === "Home" || e.key === "End") {
      e.preventDefault();
      pick(e.key === "Home" ? 0 : data.points.length - 1);
      find(false);
    } else if (e.key === "Enter" || e.key === " ") {
      e.preventDefault();
      const row = await find(true);
      const tickBox = row && row.querySelector("input[type=checkbox]:not(:disabled)");
      if (tickBox) { tickBox.checked = !tickBox.checked; said.textContent += tickBox.checked ? " Ticked to be left out." : " No longer ticked."; }
    }
  });
  table.addEventListener("click", async (e) => {
    const link = e.target.closest("a[data-page]");
    if (link) { e.preventDefault(); await turn("page=" + link.dataset.page); markRow(false); return; }
    const row = e.target.closest("tbody tr");
    if (!row || e.target.tagName === "INPUT") return;
    pick(data.points.findIndex((p) => "step-" + p.id === row.id));
    markRow(false);
  });
  metric.addEventListener("change", load);
  new ResizeObserver(draw).observe(box);
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", draw);
  load();
})();
