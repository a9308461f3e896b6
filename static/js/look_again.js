// An element with data-look-every="15" looks for what is new every so many seconds while its tab is
// seen, and at once when the tab is seen again. Without script there is a link.
"use strict";

(() => {
  const TICK_MS = 1_000;
  let looked = Date.now();

  const look = (every) => {
    const part = document.querySelector("[data-look-every]");
    const wait_ms = part && every ? part.dataset.lookEvery * 1_000 : 0;
    if (!part || document.visibilityState !== "visible" || Date.now() - looked < wait_ms) return;
    looked = Date.now();
    htmx.trigger(part, "look");
  };

  setInterval(() => look(true), TICK_MS);
  document.addEventListener("visibilitychange", () => look(false));
})();
