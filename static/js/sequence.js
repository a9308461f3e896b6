// Cleaning steps, tapped in the order they are done: each row becomes one button that keeps its place
// and its time. The typed inputs stay behind it and are what is sent.
"use strict";

(() => {
  const clock = () => new Date().toTimeString().slice(0, 5);

  const row = (element) => {
    const [place, time] = element.querySelectorAll("[data-typed] input");
    return { place, time, button: element.querySelector(".step-tap") };
  };

  const words = ({ button }) => button.querySelector("[data-words]").firstChild.textContent.trim();

  const last = (rows) =>
    rows.filter((one) => one.place.value).sort((a, b) => b.place.value - a.place.value)[0];

  const show = (rows, sum) => {
    for (const { place, time, button } of rows) {
      button.setAttribute("aria-pressed", String(Boolean(place.value)));
      button.querySelector("[data-place]").textContent = place.value;
      const shown = button.querySelector("[data-time]");
      shown.textContent = time.value || (place.value ? "" : shown.dataset.empty);
    }
    const undo = sum.querySelector("button");
    const latest = last(rows);
    const count = rows.filter((one) => one.place.value).length;
    sum.querySelector("[role=status]").textContent =
      `${count} ${count === 1 ? sum.dataset.one : sum.dataset.many}`;
    undo.hidden = !latest;
    if (latest) undo.textContent = `${sum.dataset.undo} ${words(latest)} ${latest.time.value}`;
  };

  const change = (one, place, time) => {
    one.place.value = place;
    one.time.value = time;
    one.place.dispatchEvent(new Event("change", { bubbles: true }));
  };

  for (const list of document.querySelectorAll("[data-sequence]")) {
    const rows = [...list.querySelectorAll("[data-step-row]")].map(row);
    const sum = list.parentElement.querySelector("[data-sequence-sum]");
    const wrong = list.querySelector("[data-typed] .wrong");
    if (wrong || !sum) continue; // a refused place or time is put right where it was typed
    for (const one of rows) {
      one.button.hidden = false;
      one.button.parentElement.querySelector("[data-typed]").hidden = true;
      one.button.addEventListener("click", () => {
        if (one.place.value) return;
        change(one, String(Number(last(rows)?.place.value ?? 0) + 1), clock());
        show(rows, sum);
      });
    }
    for (const words of list.parentElement.querySelectorAll("[data-how]")) {
      words.hidden = words.dataset.how !== "tap";
    }
    sum.hidden = false;
    sum.querySelector("button").addEventListener("click", () => {
      const latest = last(rows);
      change(latest, "", "");
      show(rows, sum);
      latest.button.focus();
    });
    show(rows, sum);
  }
})();
