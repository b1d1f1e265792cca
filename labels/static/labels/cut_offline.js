// At the cutting table: a cut is kept on the phone first, then sent; with no network it stays kept and work goes on.
"use strict";

(() => {
  const PAUSE_MS = 1500;  // a second tap is no second cut
  let busy = false;
  let order = 0;

  for (const form of document.querySelectorAll("form[data-cut]")) form.addEventListener("submit", (event) => {
    event.preventDefault();
    if (!busy && isLength(field(form, "length"))) cut(form);
  });

  const field = (form, name) => form.elements.namedItem(name);  // elements.length is their number

  function isLength(input) {
    input.setCustomValidity(/\d/.test(input.value) ? "" : "Enter the length with its unit, such as 2.4 m or 650 mm.");
    return input.reportValidity();
  }

  async function cut(form) {
    busy = true;
    const button = form.querySelector("button");
    button.setAttribute("aria-disabled", "true");
    button.classList.add("waiting");
    const item = itemOf(form);
    if (!keep(item)) return HTMLFormElement.prototype.submit.call(form);
    const sent = new URLSearchParams(new FormData(form));
    const answer = await cutQueue.ask(form.action, { method: "POST", body: sent }).catch(() => null);
    if (answer && cutQueue.isDone(answer, item.key)) {
      cutQueue.remove(item.key);
      location.assign(`${form.dataset.page}?done=${answer.body.movement}`);
    } else if (answer && cutQueue.isRefused(answer)) {
      cutQueue.remove(item.key);
      HTMLFormElement.prototype.submit.call(form);  // the page comes back with what is wrong beside the field
    } else {
      cutQueue.put({ ...item, state: "waiting" });
      goOn(form, item);
      setTimeout(() => {
        button.removeAttribute("aria-disabled");
        button.classList.remove("waiting");
        busy = false;
      }, PAUSE_MS);
    }
  }

  function keep(item) {
    try {
      cutQueue.put(item);
      return true;
    } catch {
      return false;  // a browser that keeps nothing: then only the network helps
    }
  }

  function itemOf(form) {
    const value = (name) => field(form, name)?.value ?? "";
    order += 1;
    return {
      key: value("key"),
      code: form.dataset.roll,
      promise: value("promise"),
      planned_mm: value("planned_mm"),
      length: value("length"),
      purpose: value("purpose") || form.dataset.purpose || "",
      cause: value("cause"),
      at: new Date().toISOString(),
      order,
      person: cutQueue.person,
      name: document.body.dataset.personName,
      state: "live",
    };
  }

  // The page as it would come back from the server: a key of its own for the next cut, and what is next of the plan.
  function goOn(form, item) {
    for (const other of document.querySelectorAll("form[data-cut]")) {
      field(other, "key").value = cutQueue.newKey();
    }
    const plan = form.closest("[data-later]");
    if (plan) showNext(plan);
    else form.reset();
    cutQueue.show();
    const place = document.getElementById("cut-queue");
    place.scrollIntoView({ block: "start" });
    say(`Kept on this phone: ${item.length}${cutQueue.whatFor(item)}.`);
  }

  // What comes next of the plan: something to cut away first, or the cut itself.
  function showNext(section) {
    const steps = JSON.parse(section.dataset.later);
    const next = steps.shift();
    const title = document.getElementById("next");
    section.dataset.later = JSON.stringify(steps);
    document.getElementById("next-more")?.remove();
    for (const step of section.querySelectorAll("[data-step]")) step.hidden = true;
    if (!next) {
      title.textContent = "No further cut is planned on this page";
      document.getElementById("next-length")?.remove();
      return;
    }
    const form = section.querySelector(`[data-step=${next.away ? "away" : "cut"}] form`);
    const isFurther = String(next.promise) !== section.querySelector("[name=promise]").value;
    if (isFurther) document.querySelector("#later-cuts li")?.remove();
    title.textContent = `Next cut: ${next.purpose}`;
    document.getElementById("next-length").textContent = next.length;
    fill(section.querySelector("[data-step=cut] form"), next);
    if (next.away) {
      fill(form, next.away);
      document.getElementById("away-why").textContent = `First the free end must go: ${next.away.purpose}.`;
      form.querySelector("button").textContent = `Cut away ${next.away.length} (${next.away.purpose})`;
    }
    form.parentElement.hidden = false;
  }

  function fill(form, entry) {
    if (!field(form, "purpose")) form.dataset.purpose = entry.purpose;
    for (const [name, value] of Object.entries(entry)) {
      const input = field(form, name);
      if (input) input.value = value;
    }
  }

  function say(words) {
    let place = document.getElementById("kept-note");
    if (!place) {
      place = document.createElement("p");
      place.id = "kept-note";
      place.className = "notice success";
      place.setAttribute("role", "status");
      document.getElementById("cut-queue").after(place);
    }
    place.textContent = words;
  }
})();
