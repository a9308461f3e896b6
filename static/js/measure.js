// A number with its unit: keys that step it, and what happens when another unit is chosen.
//
// A value that the page brought along is converted, since its unit was known. A value typed here is
// left alone: the unit then says in what it was typed.
"use strict";

(() => {
  const number = (text) => Number(text.trim().replace(",", "."));
  const significant = (value) => String(Number(value.toPrecision(3)));

  const tell = (input) => {
    input.dispatchEvent(new Event("input", { bubbles: true }));
    input.dispatchEvent(new Event("change", { bubbles: true }));
  };

  let speaking;
  const announce = (text) => {
    clearTimeout(speaking);
    speaking = setTimeout(() => {
      document.querySelector("[data-announce]").textContent = text;
    }, 600);
  };

  const step = (key) => {
    const input = key.parentElement.querySelector("input[type=text]");
    const decimals = key.dataset.step.split(".")[1]?.length ?? 0;
    const value = input.value.trim() ? number(input.value) : 0;
    if (Number.isNaN(value)) return;
    input.value = Math.max(0, value + Number(key.dataset.step)).toFixed(decimals);
    tell(input);
    announce(input.value);
  };

  const convert = (radio) => {
    const entry = radio.closest("[data-units]");
    const input = entry.querySelector("input[type=text]");
    const { from, typed } = entry.dataset;
    entry.dataset.from = radio.dataset.factor ?? "";
    if (typed || !from || !radio.dataset.factor || !input.value.trim()) return;
    const value = number(entry.dataset.base ? entry.dataset.base : input.value);
    if (Number.isNaN(value)) return;
    entry.dataset.base ??= String(value * Number(from));
    const shown = (Number(entry.dataset.base) / Number(radio.dataset.factor));
    input.value = radio.value === entry.dataset.firstUnit ? entry.dataset.first : significant(shown);
    tell(input);
  };

  const prepare = (root) => {
    for (const key of root.querySelectorAll("[data-stepper] .key")) key.hidden = false;
    for (const entry of root.querySelectorAll("[data-units]")) {
      const chosen = entry.querySelector("input[type=radio]:checked");
      if (!chosen || entry.dataset.first !== undefined) continue;
      entry.dataset.first = entry.querySelector("input[type=text]").value;
      entry.dataset.firstUnit = chosen.value;
      entry.dataset.from = chosen.dataset.factor ?? "";
    }
  };

  document.addEventListener("click", (event) => {
    const key = event.target.closest("[data-stepper] .key");
    if (key) step(key);
  });
  document.addEventListener("input", (event) => {
    const entry = event.isTrusted && event.target.closest("[data-units]");
    if (entry && event.target.type === "text") entry.dataset.typed = "yes";
  });
  document.addEventListener("change", (event) => {
    if (event.target.matches("[data-units] input[type=radio]")) convert(event.target);
  });
  document.addEventListener("htmx:afterSettle", (event) => prepare(event.detail.elt));
  prepare(document);
})();
