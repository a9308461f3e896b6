// After a refused form the focus goes to the list of errors; a link in it leads to the field, with
// the label in view.
"use strict";

(() => {
  const focusSummary = (root) => root.querySelector("[data-error-summary]")?.focus();

  const openField = (event) => {
    const link = event.target.closest("[data-error-summary] a[href^='#']");
    const target = link && document.getElementById(link.hash.slice(1));
    if (!target) return;
    event.preventDefault();
    const label = document.getElementById(`${target.id}_label`) ?? target;
    label.scrollIntoView({ block: "start" });
    const control = "input:not([type=hidden]), select, textarea";
    const input = target.matches(control) ? target : target.querySelector(control);
    (input ?? target.querySelector("button") ?? target).focus({ preventScroll: true });
  };

  document.addEventListener("click", openField);
  document.addEventListener("htmx:afterSettle", (event) => focusSummary(event.detail.elt));
  focusSummary(document);
})();
