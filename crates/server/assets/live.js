// Keeps the page fresh, and sends its forms to the same interface that programs use.
"use strict";

const POLL_MS = 15000;
const told = () => document.getElementById("told");

function tell(text, refused) {
  told().textContent = text;
  told().classList.toggle("refused", Boolean(refused));
}

// --- Regions that update themselves -------------------------------------------------------------

let loading = false;
let again = false;

// A region in which somebody is typing or has opened a form is left alone until that is done.
function isBusy(region) {
  const focused = document.activeElement;
  const typing = region.contains(focused) && focused.matches("input, select, textarea");
  return typing || region.querySelector("details[open]") !== null;
}

function named(one) {
  return one.getAttribute("aria-label") || one.textContent;
}

function replaceRegions(fresh) {
  for (const region of document.querySelectorAll("[data-live]")) {
    const next = fresh.getElementById(region.id);
    if (next && next.innerHTML !== region.innerHTML && !isBusy(region)) {
      const focused = region.contains(document.activeElement) ? named(document.activeElement) : null;
      const moved = [...region.querySelectorAll(".wide")].map((one) => one.scrollLeft);
      region.innerHTML = next.innerHTML;
      // What somebody has moved to stays in view.
      region.querySelectorAll(".wide").forEach((one, index) => { one.scrollLeft = moved[index] ?? 0; });
      if (focused !== null) {
        const same = [...region.querySelectorAll("a, button, summary, .wide")].find((one) => named(one) === focused);
        (same || document.getElementById("content")).focus({ preventScroll: true });
      }
    }
  }
  // The first plan brings regions that were not there before.
  const missing = [...fresh.querySelectorAll("[data-live]")].some((one) => !document.getElementById(one.id));
  if (missing && !document.querySelector("main form")) {
    document.querySelector("main").innerHTML = fresh.querySelector("main").innerHTML;
  }
  followSolves();
}

async function refresh() {
  if (loading) {
    again = true;
    return;
  }
  loading = true;
  try {
    const answer = await fetch(location.href, { headers: { Accept: "text/html" } });
    if (answer.ok) {
      replaceRegions(new DOMParser().parseFromString(await answer.text(), "text/html"));
      live("This page updates itself. Last: " + new Date().toLocaleTimeString() + ".");
    }
  } catch {
    live("The service cannot be reached; this is the last known state.");
  } finally {
    loading = false;
    if (again) {
      again = false;
      refresh();
    }
  }
}

function live(text) {
  const place = document.getElementById("live");
  if (place) place.textContent = text;
}

// A page that is left and kept by the browser must not keep its connections: there are only a few for each host.
const open = new Set();

function stream(path) {
  const events = new EventSource(path);
  open.add(events);
  return events;
}

addEventListener("pagehide", () => {
  for (const events of open) events.close();
  open.clear();
  followed.clear();
});

addEventListener("pageshow", (event) => {
  if (event.persisted && document.querySelector("[data-live]")) {
    listen();
    refresh();
  }
});

function listen() {
  const events = stream("/api/v1/events");
  let first = true;
  events.addEventListener("change", () => {
    if (!first) refresh();
    first = false;
  });
  // The browser connects again by itself; whatever happened meanwhile is fetched then.
  events.onerror = () => {
    first = false;
  };
}

// --- Re-plans under way --------------------------------------------------------------------------

const followed = new Set();

function followSolves() {
  for (const place of document.querySelectorAll("[data-solve]")) {
    const path = place.dataset.solve;
    if (followed.has(path)) continue;
    followed.add(path);
    const events = stream(path);
    const show = (event) => {
      const solve = JSON.parse(event.data);
      const now = document.querySelector('[data-solve="' + path + '"]');
      if (now && solve.best !== null) {
        now.textContent = solve.elapsed_s.toFixed(0) + " of " + solve.seconds + " s: best so far " +
          Math.round(solve.best) + ", " + solve.late_orders + " late.";
      }
    };
    events.addEventListener("progress", show);
    events.addEventListener("end", () => events.close());
  }
}

// --- Forms ---------------------------------------------------------------------------------------

function newKey() {
  return [...crypto.getRandomValues(new Uint8Array(12))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

function fields(form, submitter) {
  const numbers = (form.dataset.numbers || "").split(" ");
  const body = {};
  for (const [name, value] of new FormData(form, submitter)) {
    if (value !== "") body[name] = numbers.includes(name) ? Number(value) : value;
  }
  if ("key" in form.dataset) body.key = form.dataset.key = form.dataset.key || newKey();
  return body;
}

async function send(form, submitter) {
  const method = form.dataset.method || "POST";
  const headers = { "Content-Type": "application/json", Accept: "application/json" };
  if (form.dataset.match) headers["If-Match"] = form.dataset.match;
  else if (form.dataset.api.endsWith("/publish")) headers["If-None-Match"] = "*";
  const request = { method, headers };
  if (method === "POST") request.body = JSON.stringify(fields(form, submitter));
  const answer = await fetch(form.dataset.api, request);
  if (answer.ok) return answer.status === 204 ? null : answer.json();
  const problem = await answer.json();
  throw new Error([problem.title + ": " + problem.detail, problem.remedy].filter(Boolean).join(". "));
}

async function submit(form, submitter) {
  if (form.dataset.sending) return;
  form.dataset.sending = "yes";
  try {
    await send(form, submitter);
    // The next report of this form is another one.
    if ("key" in form.dataset) form.dataset.key = "";
    form.closest("details")?.removeAttribute("open");
    if (document.activeElement instanceof HTMLElement && form.contains(document.activeElement)) document.activeElement.blur();
    tell((form.dataset.done || "done") + ".");
    await refresh();
  } catch (error) {
    // A key stays: sent once more it counts once.
    tell(error instanceof TypeError ? "The service cannot be reached; nothing is known to be recorded. Try again." : error.message, true);
  } finally {
    delete form.dataset.sending;
  }
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.dataset.api) {
    event.preventDefault();
    remember(form);
    submit(form, event.submitter);
  }
});

document.addEventListener("click", (event) => {
  const button = event.target.closest("button[data-step]");
  if (!button) return;
  const input = document.getElementById(button.dataset.for);
  if (Number(button.dataset.step) > 0) input.stepUp();
  else input.stepDown();
});

// A name is typed once on each device.
function remember(form) {
  for (const input of form.querySelectorAll("[data-remember]")) {
    if (input.value) localStorage.setItem("elbowroom-" + input.dataset.remember, input.value);
  }
}

function recall() {
  for (const input of document.querySelectorAll("[data-remember]")) {
    input.value = input.value || localStorage.getItem("elbowroom-" + input.dataset.remember) || "";
  }
}

// A week that is wider than its window begins with what is going on now.
function moveToNow() {
  const [chart, now] = [".week-chart", ".week-chart line.now"].map((one) => document.querySelector(one));
  if (now) chart.scrollLeft += now.getBoundingClientRect().left - chart.getBoundingClientRect().left - chart.clientWidth / 2;
}

if (document.querySelector("[data-live]")) {
  recall();
  moveToNow();
  followSolves();
  listen();
  live("This page updates itself.");
  setInterval(refresh, POLL_MS);
}
