// On a form[data-grading-keys] digits score the row in focus, J and K change rows, C leads to the
// words, Ctrl+Enter and Ctrl+Shift+Enter press the buttons with data-on-enter and data-on-shift-enter.
// Arrows stay the browser's. A tick on the page turns the keys off, on this device.
"use strict";

(() => {
  const form = document.querySelector("form[data-grading-keys]");
  const tick = document.querySelector("[data-keys-on]");
  if (!form || !tick) return;
  const NAME = "weldlog.grading-keys";
  tick.checked = localStorage.getItem(NAME) !== "off";
  tick.addEventListener("change", () => localStorage.setItem(NAME, tick.checked ? "on" : "off"));

  const rows = [...form.querySelectorAll("[data-rubric-row]")];
  const radios = (row) => [...row.querySelectorAll("input[type=radio]")];
  const here = () => rows.indexOf(document.activeElement?.closest("[data-rubric-row]"));
  const enter = (row) => (radios(row).find((radio) => radio.checked) ?? radios(row)[0]).focus();

  const move = (step) => {
    const at = here();
    const to = at < 0 ? (step > 0 ? 0 : rows.length - 1) : at + step;
    if (rows[to]) enter(rows[to]);
  };

  // A row that must be kept has two cells: 1 says that it was not, any other digit that it was.
  const score = (row, digit) => {
    const cells = radios(row);
    const pair = cells.length === 2;
    const wanted = pair && digit !== "1" ? cells.find((cell) => cell.value !== "1") : null;
    const cell = wanted ?? cells.find((each) => each.value === digit);
    if (!cell || (pair && digit === "0")) return;
    cell.checked = true;
    cell.focus();
    cell.dispatchEvent(new Event("change", { bubbles: true }));
  };

  const typing = (target) => target.matches("textarea, select, input:not([type=radio], [type=checkbox])");

  document.addEventListener("keydown", (event) => {
    if (!tick.checked || event.isComposing || event.altKey || event.metaKey) return;
    if (event.ctrlKey) {
      if (event.key !== "Enter") return;
      event.preventDefault();
      form.querySelector(event.shiftKey ? "[data-on-shift-enter]" : "[data-on-enter]")?.click();
      return;
    }
    if (typing(event.target)) return;
    const key = event.key.toLowerCase();
    if (key === "j") move(1);
    else if (key === "k") move(-1);
    else if (key === "c") form.elements.comment.focus();
    else if (/^[0-4]$/.test(key) && here() >= 0) score(rows[here()], key);
    else return;
    event.preventDefault();
  });
})();
