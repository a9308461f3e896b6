// A number with its unit: keys that step it, and what happens when another unit is chosen.
//
// A value that the page brought along is converted, since its unit was known. A value typed here is
// left alone: the unit then says in what it was typed.
"use strict";

(() => {
  const number = (text) => Number(text.trim().replace(",", "."));
  const decimals = (text) => text.split(/[.,]/)[1]?.length ?? 0;
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
    const typed = input.value.trim();
    const value = Math.max(0, number(typed) + Number(key.dataset.step));
    if (Number.isNaN(value)) return;
    key.parentElement.dataset.typed = "yes";
    const text = value.toFixed(Math.max(decimals(typed), decimals(key.dataset.step)));
    input.value = typed.includes(",") ? text.replace(".", ",") : text;
    tell(input);
    announce(input.value);
  };

  const convert = (radio) => {
    const entry = radio.closest("[data-units]");
    const input = entry.querySelector("input[type=text]");
    const { first, firstUnit, firstFactor, typed } = entry.dataset;
    if (typed || !first || !firstFactor || !radio.dataset.factor) return;
    const converted = (number(first) * Number(firstFactor)) / Number(radio.dataset.factor);
    if (Number.isNaN(converted)) return;
    input.value = radio.value === firstUnit ? first : significant(converted);
    tell(input);
  };

  const prepare = (root) => {
    for (const key of root.querySelectorAll("[data-stepper] .key")) key.hidden = false;
    for (const entry of root.querySelectorAll("[data-units]")) {
      const chosen = entry.querySelector("input[type=radio][checked]");
      if (!chosen || entry.dataset.first !== undefined) continue;
      entry.dataset.first = entry.querySelector("input[type=text]").defaultValue.trim();
      entry.dataset.firstUnit = chosen.value;
      entry.dataset.firstFactor = chosen.dataset.factor ?? "";
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
