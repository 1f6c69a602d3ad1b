// What script adds: answers while one types, the number pad, what others change, a screen that stays awake, a tone.
// Without it every page still does its work.

const page = document.getElementById("page");
document.documentElement.dataset.scriptOn = "yes";

/** Answers while a form is filled in: its fields go to `data-from`, what comes back into `data-live`. */
function live(root) {
  for (const form of root.querySelectorAll("form[data-live]")) {
    const target = document.querySelector(form.dataset.live);
    let asked = 0;
    let waits = false;
    const ask = async () => {
      waits = false;
      const mine = ++asked;
      const fields = new URLSearchParams();
      for (const [name, value] of new FormData(form)) if (typeof value === "string" && name !== "id") fields.append(name, value);
      try {
        const answer = await fetch(`${form.dataset.from}?${fields}`, { headers: { accept: "text/html" } });
        if (!answer.ok || mine !== asked) return;
        // The page and its answers come from the same server, which escapes every word in them.
        target.innerHTML = await answer.text();
        const size = target.querySelector("data.size");
        const out = form.querySelector("[data-size]");
        if (size && out) out.textContent = size.value;
      } catch { /* no network: the form still posts when there is one */ }
    };
    const soon = () => {
      if (!waits) { waits = true; requestAnimationFrame(ask); }
      showDigits(form);
    };
    form.addEventListener("input", soon);
    form.addEventListener("change", soon);
    if (form.method === "get") form.addEventListener("submit", (event) => { event.preventDefault(); soon(); });
  }
}

/** The press says what it keeps. */
function showDigits(form) {
  const shown = form.querySelector("[data-shown]");
  const digits = form.querySelector("[data-pad]");
  const unit = form.querySelector("select[name=unit]");
  if (shown && digits && unit) {
    const text = digits.value.trim();
    const word = /^[\d.,]+$/.test(text) ? `${text} ${unit.selectedOptions[0].textContent}` : text;
    shown.textContent = word;
  }
}

/** The number pad: for gloves, in place of the phone's own. */
function pads(root) {
  for (const pad of root.querySelectorAll(".pad")) {
    const form = pad.closest("form");
    const field = form.querySelector("[data-pad]");
    pad.hidden = false;
    if (matchMedia("(pointer: coarse)").matches) field.inputMode = "none";
    const back = form.querySelector(".back");
    if (back) back.hidden = false;
    form.addEventListener("click", (event) => {
      const key = event.target.closest("button")?.dataset.key;
      if (!key) return;
      event.preventDefault();
      if (key === "back") field.value = field.value === "open" ? "" : field.value.slice(0, -1);
      else if (key === "open") field.value = "open";
      else if (field.value === "open") field.value = key;
      else if (key !== "." || !field.value.includes(".")) field.value += key;
      field.dispatchEvent(new Event("input", { bubbles: true }));
    });
    showDigits(form);
  }
}

/** Whether somebody is in the middle of something on this page. */
function busy() {
  for (const form of document.querySelectorAll("main form, aside form")) {
    for (const field of form.elements) {
      if (field.type === "hidden" || field.type === "submit" || field.type === "button") continue;
      if (field.type === "checkbox" || field.type === "radio") { if (field.checked !== field.defaultChecked) return true; }
      else if (field.tagName === "SELECT") { if ([...field.options].some((one) => one.selected !== one.defaultSelected) && field.selectedIndex > 0) return true; }
      else if (field.value !== field.defaultValue) return true;
    }
  }
  return false;
}

/** Takes over what others changed: the whole sheet, or only its margin while somebody types. */
async function refresh() {
  const answer = await fetch(location.href, { headers: { accept: "text/html" } });
  if (!answer.ok) return;
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
  const put = (selector) => {
    const [mine, theirs] = [document.querySelector(selector), fresh.querySelector(selector)];
    if (!mine || !theirs) return;
    if (mine.innerHTML !== theirs.innerHTML) mine.replaceChildren(...theirs.childNodes);
  };
  const version = fresh.getElementById("page")?.dataset.version;
  const changed = version !== page.dataset.version;
  tone(fresh);
  const active = document.activeElement;
  const at = active && active.id ? active.id : null;
  if (changed && !busy()) {
    const open = [...document.querySelectorAll("details")].map((one) => one.open);
    put("#main"); put("#margin"); put(".block");
    [...document.querySelectorAll("details")].forEach((one, index) => { if (open[index]) one.open = true; });
    page.dataset.version = version;
    ready(document.getElementById("main"));
  } else {
    put("#margin");
    for (const part of document.querySelectorAll("[data-fresh]")) put(`[data-fresh="${part.dataset.fresh}"]`);
    if (changed && !document.querySelector(".stale")) {
      const word = document.createElement("p");
      word.className = "stale";
      word.setAttribute("role", "status");
      word.append("Somebody changed this job while you are writing. ");
      const link = document.createElement("a");
      link.href = location.href;
      link.textContent = "Show it as it is now";
      word.append(link, "; what you type here is kept until then.");
      document.getElementById("main").prepend(word);
    }
  }
  if (at) document.getElementById(at)?.focus({ preventScroll: true });
}

/** A tone when somebody else's trip lands. */
function tone(fresh) {
  const known = new Set([...document.querySelectorAll("[data-trip]")].map((one) => one.dataset.trip));
  const lands = [...fresh.querySelectorAll("[data-trip]")].some((one) => !known.has(one.dataset.trip));
  if (!lands) return;
  // Browsers let a page sound and shake only once somebody has touched it.
  if (navigator.userActivation && !navigator.userActivation.hasBeenActive) return;
  try {
    const audio = new AudioContext();
    const swing = audio.createOscillator();
    const level = audio.createGain();
    level.gain.value = 0.2;
    swing.frequency.value = 880;
    swing.connect(level).connect(audio.destination);
    swing.start();
    swing.stop(audio.currentTime + 0.25);
  } catch { /* no sound here: the page says it too */ }
  navigator.vibrate?.(200);
}

/** Listens for what others do; asks every few seconds where the stream does not come through. */
function listen() {
  if (!page?.dataset.events) return;
  let last = 0;
  const again = () => { last = Date.now(); refresh().catch(() => {}); };
  const stream = new EventSource(page.dataset.events);
  let first = true;
  stream.onmessage = (event) => {
    if (first && event.data === page.dataset.version) { first = false; return; }
    first = false;
    again();
  };
  setInterval(() => {
    if (stream.readyState !== EventSource.OPEN && document.visibilityState === "visible" && Date.now() - last > 4000) again();
  }, 5000);
  document.addEventListener("visibilitychange", () => { if (document.visibilityState === "visible") again(); });
}

/** The screen stays awake where one reads a meter with both hands. */
async function awake() {
  if (!page?.dataset.awake || document.visibilityState !== "visible") return;
  try { await navigator.wakeLock?.request("screen"); } catch { /* the battery is low, or the browser has no such thing */ }
}

/** Tells the server by how much this clock is ahead of UTC, so that times are those of the reader. */
function clock() {
  const own = `ahead=${-new Date().getTimezoneOffset()}`;
  const told = () => document.cookie.split("; ").includes(own);
  if (told()) return;
  document.cookie = `${own}; path=/; max-age=31536000; samesite=strict`;
  // What was drawn by another clock is drawn again; a page that answers a press has no version and stays.
  if (told() && page?.dataset.version && document.querySelector("time")) location.reload();
}

/** Binds what stands on a page. */
function ready(root) {
  live(root);
  pads(root);
}

clock();
ready(document);
listen();
awake();
document.addEventListener("visibilitychange", awake);

// A page that comes back out of the browser's memory carries the id of a form that was sent: ask for it anew.
addEventListener("pageshow", (event) => { if (event.persisted) location.reload(); });
