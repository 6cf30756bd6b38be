(() => {
  const faults = [];
  const visible = (one) => one.getClientRects().length > 0;
  const name = (one) => (one.getAttribute("aria-label") ||
    (one.getAttribute("aria-labelledby") || "").split(" ").map((id) => document.getElementById(id)?.textContent || "").join(" ") ||
    (one.labels ? [...one.labels].map((label) => label.textContent).join(" ") : "") || one.textContent || "").trim();
  const say = (rule, one) => faults.push(rule + ": " + one.outerHTML.slice(0, 120));
  if (!document.documentElement.lang) faults.push("the page has no language");
  if (!document.title.trim()) faults.push("the page has no title");
  if (document.querySelectorAll("h1").length !== 1) faults.push("the page has not one h1");
  if (document.querySelectorAll("main").length !== 1) faults.push("the page has not one main");
  let level = 1;
  for (const heading of document.querySelectorAll("h1, h2, h3, h4")) {
    const next = Number(heading.tagName[1]);
    if (next > level + 1) say("a heading skips a level", heading);
    level = next;
  }
  const ids = [...document.querySelectorAll("[id]")].map((one) => one.id);
  ids.filter((id, at) => ids.indexOf(id) !== at).forEach((id) => faults.push("id twice: " + id));
  for (const one of document.querySelectorAll("[aria-labelledby]")) {
    for (const id of one.getAttribute("aria-labelledby").split(" ")) if (!document.getElementById(id)) say("named by nothing", one);
  }
  for (const one of document.querySelectorAll("input:not([type=hidden]), select, textarea")) if (!one.labels?.length) say("no label", one);
  for (const one of document.querySelectorAll("button, a[href], summary, section[aria-labelledby], nav, [role=region]")) if (!name(one)) say("no name", one);
  for (const one of document.querySelectorAll("img")) if (!one.hasAttribute("alt")) say("no alt", one);
  for (const one of document.querySelectorAll("svg:not([aria-hidden])")) if (!one.querySelector("title")) say("no title", one);
  for (const one of document.querySelectorAll("th")) if (!one.hasAttribute("scope")) say("no scope", one);
  for (const one of document.querySelectorAll("[tabindex]")) if (one.tabIndex > 0) say("order forced", one);
  for (const one of document.querySelectorAll("*")) {
    const scrolls = one.scrollWidth > one.clientWidth + 1 && getComputedStyle(one).overflowX === "auto";
    if (scrolls && one.tabIndex < 0) say("scrolls, and the keyboard cannot reach it", one);
  }
  for (const one of document.querySelectorAll("button, summary, input:not([type=hidden]), nav a")) {
    const box = one.getBoundingClientRect();
    if (visible(one) && (box.width < 24 || box.height < 24)) say("target smaller than 24 pixels (WCAG 2.2, 2.5.8)", one);
  }
  for (const one of document.querySelectorAll("[style], script:not([src]), style")) say("something inline", one);
  return faults;
})()
