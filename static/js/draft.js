// What is typed into a form[data-draft] is kept in the tab, so that Back, a reload or a tab that the
// phone dropped costs nothing. It goes when the form was taken, by "Discard", and at sign-out.
"use strict";

(() => {
  const NOT_KEPT = new Set(["csrfmiddlewaretoken", "client_id", "based_on", "kept_photos"]);
  const PREFIX = "draft ";

  let signedOut = false;

  const read = (key) => JSON.parse(sessionStorage.getItem(key));
  const write = (key, draft) => sessionStorage.setItem(key, JSON.stringify(draft));

  const kept = (form) =>
    [...form.elements].filter(
      ({ name, type }) => name && !NOT_KEPT.has(name) && !["file", "submit"].includes(type),
    );
  const isChoice = ({ type }) => type === "radio" || type === "checkbox";

  const values = (form) =>
    kept(form)
      .filter((input) => !isChoice(input) || input.checked)
      .map(({ name, value }) => [name, value]);

  // Which numbers were typed, so that another unit does not convert them: see measure.js.
  const typedNumbers = (form) =>
    [...form.querySelectorAll("[data-units][data-typed] input[type=text]")].map(({ name }) => name);

  const fill = (input, found) => {
    if (isChoice(input)) input.checked = found.includes(input.value);
    else if (found.length) [input.value] = found;
    const other = isChoice(input)
      ? input.checked && !input.defaultChecked && !input.closest(".units")
      : input.type !== "hidden" && found.length && input.value && !input.defaultValue;
    if (other) input.closest("details")?.setAttribute("open", "");
  };

  const restore = (form, draft) => {
    for (const input of kept(form)) {
      fill(
        input,
        draft.values.filter(([name]) => name === input.name).map(([, value]) => value),
      );
    }
    for (const name of draft.typed) {
      const entry = form.querySelector(`[name="${name}"]`)?.closest("[data-units]");
      if (entry) entry.dataset.typed = "yes";
    }
  };

  const keep = (form) => {
    const key = `${PREFIX}${form.dataset.draft} ${location.pathname}`;
    const line = form.querySelector("[data-draft-line]");
    const discard = line.querySelector("button");
    let waiting;

    const say = ({ at }) => {
      const time = new Date(at).toTimeString().slice(0, 5);
      line.querySelector("span").textContent = `${line.dataset.kept} ${time}.`;
      discard.hidden = false;
    };
    const save = (sent = false) => {
      clearTimeout(waiting);
      waiting = undefined;
      if (signedOut) return;
      const draft = { at: Date.now(), sent, values: values(form), typed: typedNumbers(form) };
      write(key, draft);
      say(draft);
    };
    const soon = () => {
      waiting ??= setTimeout(save, 500);
    };

    form.addEventListener("input", soon);
    form.addEventListener("change", soon);
    form.addEventListener("submit", () => save(true));
    addEventListener("pagehide", () => waiting && save());
    discard.addEventListener("click", () => {
      clearTimeout(waiting);
      waiting = undefined;
      sessionStorage.removeItem(key);
      location.assign(location.pathname);
    });

    line.hidden = false;
    if (document.querySelector("[data-error-summary]")) return save(); // the server's answer holds
    const draft = read(key);
    if (!draft) return undefined;
    restore(form, draft);
    write(key, { ...draft, sent: false });
    return say(draft);
  };

  // The page of a coupon that was taken; a draft that was not sent may go on beside it.
  const forget = (done) => {
    for (const key of Object.keys(sessionStorage)) {
      if (key.startsWith(`${PREFIX}${done} `) && read(key).sent) sessionStorage.removeItem(key);
    }
  };

  document.addEventListener("submit", (event) => {
    if (!event.target.matches("[data-sign-out]")) return;
    signedOut = true;
    sessionStorage.clear();
  });
  for (const page of document.querySelectorAll("[data-draft-done]")) forget(page.dataset.draftDone);
  for (const form of document.querySelectorAll("form[data-draft]")) keep(form);
})();
