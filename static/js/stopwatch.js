// Arc time: counts from a stored moment, not by ticks, so that a reload or a sleeping phone loses
// nothing. A time typed by hand is said to be typed.
"use strict";

(() => {
  const readout = (ms) =>
    `${Math.floor(ms / 60000)}:${((ms % 60000) / 1000).toFixed(1).padStart(4, "0")}`;
  const clock = (moment) => new Date(moment).toTimeString().slice(0, 8);

  for (const watch of document.querySelectorAll("[data-stopwatch]")) {
    const box = watch.querySelector(".clock");
    const output = box.querySelector("output");
    const key = box.querySelector("button");
    const times = box.querySelector("[data-times]");
    const input = watch.querySelector(".field input[type=text]");
    const how = watch.querySelector(":scope > input[type=hidden]");
    const startedAt = document.getElementById(watch.dataset.startedAt);
    const store = `stopwatch ${location.pathname}`;
    let ticking;

    const run = () => {
      key.textContent = watch.dataset.stop;
      ticking = setInterval(() => {
        output.textContent = readout(Date.now() - Number(sessionStorage.getItem(store)));
      }, 100);
    };

    const stop = () => {
      const [began, ended] = [Number(sessionStorage.getItem(store)), Date.now()];
      clearInterval(ticking);
      ticking = undefined;
      sessionStorage.removeItem(store);
      key.textContent = watch.dataset.again;
      output.textContent = readout(ended - began);
      times.textContent = `${clock(began)} – ${clock(ended)}`;
      input.value = ((ended - began) / 1000).toFixed(1);
      if (how) how.value = "timed";
      const seconds = watch.querySelector("input[type=radio][value=s]");
      if (seconds) seconds.checked = true;
      input.dispatchEvent(new Event("change", { bubbles: true }));
    };

    const start = () => {
      const now = Date.now();
      sessionStorage.setItem(store, String(now));
      if (startedAt && !startedAt.value.trim()) {
        startedAt.value = clock(now).slice(0, 5);
        startedAt.dispatchEvent(new Event("change", { bubbles: true }));
      }
      run();
    };

    key.addEventListener("click", () => (ticking ? stop() : start()));
    input.addEventListener("input", () => {
      if (how) how.value = "typed";
    });
    box.hidden = false;
    if (sessionStorage.getItem(store)) run();
    else if (how?.value === "timed" && input.value) {
      output.textContent = readout(Number(input.value) * 1000);
      key.textContent = watch.dataset.again;
    }
  }
})();
