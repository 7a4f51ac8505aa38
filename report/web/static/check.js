"use strict";
// Follows a computation, and asks for a name only where someone is new.
(() => {
  const bar = document.getElementById("bar");
  if (bar) {
    const percent = document.getElementById("percent");
    const ahead = document.getElementById("ahead");
    const ask = async () => {
      try {
        const answer = await fetch(bar.dataset.state, { headers: { Accept: "application/json" } });
        const state = await answer.json();
        if (!answer.ok || state.phase !== bar.dataset.phase || state.next) return location.reload();
        bar.value = state.percent;
        percent.textContent = state.percent + " %";
        ahead.textContent = state.ahead ? "Waiting: " + state.ahead + " before this one." : "";
      } catch { ahead.textContent = "setdown does not answer. Is it still running?"; }
      setTimeout(ask, 400);
    };
    setTimeout(ask, 200);
  }
  const which = document.querySelector("select#case");
  const fresh = document.getElementById("fresh");
  if (fresh) for (const input of fresh.querySelectorAll("input[type=radio]")) input.required = true;
  if (which && fresh) {
    const show = () => { fresh.hidden = fresh.disabled = which.value !== "new"; };
    which.addEventListener("change", show);
    show();
  }
})();
