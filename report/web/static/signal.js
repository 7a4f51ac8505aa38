"use strict";
// The whole recording: drag to move, wheel or pinch to zoom. The server thins
// each window, so that an hour is as quick as a second.
(() => {
  const box = document.getElementById("signal-picture");
  if (!box) return;
  const said = document.getElementById("signal-said");
  const canvas = document.createElement("canvas");
  box.append(canvas);
  const band = 110, gap = 20, left = 46, right = 8, bottom = 22;
  let view = null;   // the window that is wanted
  let data = null;   // the last answer
  let busy = false, again = false;

  const colour = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();

  async function load() {
    if (busy) { again = true; return; }
    busy = true;
    const width = Math.max(260, box.clientWidth);
    const query = "width=" + Math.round(width) + (view ? "&from=" + view.from + "&to=" + view.to : "");
    try {
      const answer = await fetch(box.dataset.from + "/signal.json?" + query);
      if (answer.ok) {
        data = await answer.json();
        if (!view) view = { from: data.from_s, to: data.to_s };
      } else said.textContent = "The signal could not be loaded.";
    } catch { said.textContent = "setdown does not answer. Is it still running?"; }
    busy = false;
    draw();
    if (again) { again = false; load(); }
  }

  const bands = () => data.tracks.flatMap((t) => [
    { name: t.label + ": turning rate (deg/s)", side: t.side, step: t.step_s, lo: t.gyr_low, hi: t.gyr_high },
    { name: t.label + ": acceleration (m/s²)", side: t.side, step: t.step_s, lo: t.acc_low, hi: t.acc_high }]);

  function clock(t, span) {
    if (span > 300) return Math.floor(t / 60) + ":" + String(Math.floor(t % 60)).padStart(2, "0");
    return t.toFixed(span > 20 ? 0 : span > 2 ? 1 : 2);
  }

  function draw() {
    if (!data) return;
    const rows = bands(), width = Math.max(260, box.clientWidth), height = rows.length * (band + gap) + bottom;
    const scale = window.devicePixelRatio || 1;
    canvas.width = width * scale; canvas.height = height * scale;
    canvas.style.height = height + "px"; // set by script, not an attribute of the page
    const g = canvas.getContext("2d");
    g.scale(scale, scale);
    g.clearRect(0, 0, width, height);
    g.font = "12px " + getComputedStyle(document.body).fontFamily;
    g.textBaseline = "middle";
    const span = view.to - view.from, X = (t) => left + (t - view.from) / span * (width - left - right);
    rows.forEach((r, k) => {
      const top = k * (band + gap) + gap;
      let most = 0;
      for (const v of r.hi) if (v !== null && v > most) most = v;
      most = most || 1;
      const Y = (v) => top + band - v / most * band;
      g.fillStyle = colour("--ink"); g.textAlign = "left"; g.fillText(r.name, 4, top - gap / 2 + 1);
      g.textAlign = "right"; g.fillText("0", left - 6, top + band); g.fillText(String(Math.round(most)), left - 6, top + 6);
      g.strokeStyle = colour("--rule"); g.beginPath(); g.moveTo(left, top + band); g.lineTo(width - right, top + band); g.stroke();
      g.save(); g.beginPath(); g.rect(left, top, width - left - right, band); g.clip();
      for (const e of data.events) if (e.side === r.side) event(g, X, e, top);
      g.strokeStyle = colour(r.side === "right" ? "--right" : "--left");
      trace(g, r, X, Y);
      g.restore();
    });
    g.fillStyle = colour("--ink"); g.textAlign = "center";
    const n = Math.max(2, Math.floor(width / 110));
    for (let i = 0; i <= n; i++) {
      const t = view.from + span * i / n;
      g.textAlign = i === 0 ? "left" : i === n ? "right" : "center";
      g.fillText(clock(t, span) + (i === n ? (span > 300 ? " min:s" : " s") : ""), X(t), height - bottom / 2);
    }
  }

  // trace joins the highest and lowest of each bucket; a gap stays a gap.
  function trace(g, r, X, Y) {
    g.beginPath();
    let open = false;
    for (let i = 0; i < r.lo.length; i++) {
      if (r.lo[i] === null) { open = false; continue; }
      const x = X(data.from_s + (i + 0.5) * r.step);
      if (open) g.lineTo(x, Y(r.hi[i])); else g.moveTo(x, Y(r.hi[i]));
      g.lineTo(x, Y(r.lo[i]));
      open = true;
    }
    g.stroke();
  }

  // event marks initial contact by a full line, foot-flat by dashes, toe-off by dots.
  function event(g, X, e, top) {
    g.strokeStyle = colour("--quiet");
    for (const [t, dash] of [[Number(e.ic), []], [e.ff, [5, 3]], [e.to, [1, 3]]]) {
      if (t === null) continue;
      g.setLineDash(dash);
      g.beginPath(); g.moveTo(X(t), top); g.lineTo(X(t), top + band); g.stroke();
    }
    g.setLineDash([]);
  }

  function set(from, to) {
    const whole = data.end_s - data.begin_s;
    const span = Math.min(whole, Math.max(0.3, to - from));
    from = Math.min(data.end_s - span, Math.max(data.begin_s, from));
    view = { from, to: from + span };
    draw();
    load();
    said.textContent = "Shown: " + clock(view.from, span) + " to " + clock(view.to, span) + (span > 300 ? " (min:s)" : " s") +
      (span <= 40 ? ". Full lines are initial contacts, dashes foot-flat, dots toe-off." : ".");
  }

  function zoom(factor, middle) {
    const span = view.to - view.from, m = middle === undefined ? (view.from + view.to) / 2 : middle;
    set(m - (m - view.from) * factor, m - (m - view.from) * factor + span * factor);
  }
  const shift = (part) => { const s = (view.to - view.from) * part; set(view.from + s, view.to + s); };
  const timeAt = (x) => { const r = canvas.getBoundingClientRect(); return view.from + (x - r.left - left) / (r.width - left - right) * (view.to - view.from); };

  const fingers = new Map();
  box.addEventListener("pointerdown", (e) => { if (data) { fingers.set(e.pointerId, e.clientX); box.setPointerCapture(e.pointerId); } });
  for (const end of ["pointerup", "pointercancel"]) box.addEventListener(end, (e) => fingers.delete(e.pointerId));
  box.addEventListener("pointermove", (e) => {
    if (!fingers.has(e.pointerId)) return;
    const before = [...fingers.values()];
    const old = fingers.get(e.pointerId);
    fingers.set(e.pointerId, e.clientX);
    if (fingers.size === 1) {
      const d = timeAt(old) - timeAt(e.clientX);
      set(view.from + d, view.to + d);
    } else if (fingers.size === 2) {
      const now = [...fingers.values()];
      const was = Math.abs(before[0] - before[1]), is = Math.abs(now[0] - now[1]);
      if (was > 5 && is > 5) zoom(was / is, timeAt((now[0] + now[1]) / 2));
    }
  });
  box.addEventListener("wheel", (e) => { if (!data) return; e.preventDefault(); zoom(e.deltaY > 0 ? 1.3 : 1 / 1.3, timeAt(e.clientX)); }, { passive: false });
  const acts = { in: () => zoom(0.5), out: () => zoom(2), back: () => shift(-0.5), on: () => shift(0.5), all: () => set(data.begin_s, data.end_s),
    span: () => {
      document.getElementById("from").value = view.from.toFixed(2);
      document.getElementById("to").value = view.to.toFixed(2);
      const d = document.getElementById("span");
      d.open = true;
      d.scrollIntoView({ block: "center" });
      document.getElementById("side").focus();
    } };
  document.getElementById("signal-buttons").addEventListener("click", (e) => { const a = acts[e.target.dataset.do]; if (a && data) a(); });
  box.addEventListener("keydown", (e) => {
    const name = { ArrowLeft: "back", ArrowRight: "on", "+": "in", "=": "in", "-": "out", Home: "all" }[e.key];
    if (name && data) { e.preventDefault(); acts[name](); }
  });
  new ResizeObserver(() => { if (data) draw(); }).observe(box);
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", draw);
  load();
})();
