"use strict";
// Light or dark, kept in this browser.
(() => {
  const kept = localStorage.getItem("look") || "";
  for (const input of document.querySelectorAll("#look input")) {
    input.checked = input.value === kept;
    input.addEventListener("change", () => {
      localStorage.setItem("look", input.value);
      if (input.value) document.documentElement.dataset.look = input.value;
      else delete document.documentElement.dataset.look;
    });
  }
})();
