"use strict";
// Runs before anything is drawn, so that a page does not flash in the other look.
(() => {
  try {
    const look = localStorage.getItem("look");
    if (look === "light" || look === "dark") document.documentElement.dataset.look = look;
  } catch { /* a browser that keeps nothing shows the device's look */ }
})();
