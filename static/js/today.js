// The element #shop looks for what is new every 15 seconds while its tab is seen, and at once when
// the tab is seen again. Without script there is a link.
"use strict";

(() => {
  const EVERY_MS = 15_000;

  const look = () => {
    const shop = document.getElementById("shop");
    if (shop && document.visibilityState === "visible") htmx.trigger(shop, "look");
  };

  setInterval(look, EVERY_MS);
  document.addEventListener("visibilitychange", look);
})();
