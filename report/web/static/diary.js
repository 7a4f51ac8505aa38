"use strict";
// Writes the value of each slider beside it.
(() => {
  for (const input of document.querySelectorAll("input[type=range]")) {
    const output = document.getElementById("o-" + input.name);
    const show = () => {
      const words = input.value === "-1" ? "not entered" : input.value;
      output.textContent = words;
      input.setAttribute("aria-valuetext", words);
    };
    input.addEventListener("input", show);
    show();
  }
})();
