"use strict";
// Sends the chosen or dropped files, with progress and a way to stop.
(() => {
  const form = document.getElementById("upload");
  const input = document.getElementById("files");
  const list = document.getElementById("chosen");
  const sending = document.getElementById("sending");
  const send = document.getElementById("send");
  const bar = document.getElementById("bar");
  const sent = document.getElementById("sent");
  const trouble = document.getElementById("trouble");
  let files = [];
  let request = null;

  const size = (n) => n >= 1048576 ? (n / 1048576).toFixed(1) + " MB" : Math.ceil(n / 1024) + " kB";

  function choose(more) {
    files = [...more];
    list.replaceChildren(...files.map((f) => {
      const item = document.createElement("li");
      item.textContent = f.name + ", " + size(f.size);
      return item;
    }));
    trouble.replaceChildren();
  }

  function complain(text, hint) {
    const box = document.createElement("div");
    box.className = "problem";
    for (const t of [text, hint ? "What to do: " + hint : ""]) {
      if (!t) continue;
      const p = document.createElement("p");
      p.textContent = t;
      box.append(p);
    }
    trouble.replaceChildren(box);
    sending.hidden = true;
    send.hidden = files.length === 0;
  }

  function start() {
    if (files.length === 0) return complain("Choose the exported file of each foot first.");
    const data = new FormData();
    const which = document.getElementById("case");
    if (which) data.append("case", which.value);
    for (const f of files) data.append("file", f, f.name);
    if (request) { request.onabort = null; request.abort(); } // what was chosen last counts
    request = new XMLHttpRequest();
    request.open("POST", "/upload");
    request.setRequestHeader("Accept", "application/json");
    request.responseType = "json";
    request.upload.onprogress = (e) => {
      if (!e.lengthComputable) return;
      bar.value = 100 * e.loaded / e.total;
      sent.textContent = size(e.loaded) + " of " + size(e.total);
    };
    request.onload = () => {
      const answer = request.response;
      if (request.status === 200 && answer) location.assign(answer.next);
      else complain(answer ? answer.error : "setdown did not answer (status " + request.status + ").", answer && answer.hint);
    };
    request.onerror = () => complain("The files did not arrive. Is setdown still running?");
    request.onabort = () => complain("Cancelled. Nothing was kept.");
    trouble.replaceChildren();
    sending.hidden = false;
    send.hidden = true;
    request.send(data);
  }

  // Choosing is enough; the button is for browsers without scripts.
  send.hidden = true;
  input.addEventListener("change", () => { choose(input.files); if (files.length) start(); });
  form.addEventListener("submit", (e) => { e.preventDefault(); start(); });
  document.getElementById("stop").addEventListener("click", () => request && request.abort());
  // The whole page takes a drop, so that one beside the box is not lost.
  document.addEventListener("dragover", (e) => { e.preventDefault(); form.classList.add("over"); });
  document.addEventListener("dragleave", (e) => { if (!e.relatedTarget) form.classList.remove("over"); });
  document.addEventListener("drop", (e) => {
    e.preventDefault();
    form.classList.remove("over");
    if (e.dataTransfer && e.dataTransfer.files.length) { choose(e.dataTransfer.files); start(); }
  });
})();
