// On a form[data-next-field] the phone's Go key, Enter, leads on to the next field: half a form is
// not sent by a key that sits where "next" is expected.
"use strict";

(() => {
  const CONTROLS = "input:not([type=hidden]), select, textarea, button[type=submit]";
  const sends = (input) => input.matches("input:not([type=file]):not([type=submit])");

  const next = (form, from) =>
    [...form.querySelectorAll(CONTROLS)].find(
      (control) =>
        from.compareDocumentPosition(control) & Node.DOCUMENT_POSITION_FOLLOWING &&
        control.name !== from.name &&
        control.getClientRects().length &&
        !control.closest(".units, details:not([open])"),
    );

  document.addEventListener("keydown", (event) => {
    const form = event.target.closest("form[data-next-field]");
    if (!form || event.key !== "Enter" || event.isComposing || !sends(event.target)) return;
    event.preventDefault();
    next(form, event.target)?.focus();
  });
  for (const input of document.querySelectorAll("form[data-next-field] input[type=text]")) {
    input.enterKeyHint = "next";
  }
})();
