// What had the focus, and what stood unfolded, has it again after its part of the page was built anew.
const unfolded = new Set();
let last = null;

function nameOf(element) {
  return element.dataset.stays || element.getAttribute("aria-label") || element.dataset.figure || element.textContent.trim();
}

// counts in a title may change with what it holds
function titleOf(fold) {
  return (fold.querySelector("summary")?.textContent ?? "").replace(/\d+/g, "#");
}

document.addEventListener("focusin", (event) => {
  const around = [];
  for (let place = event.target.parentElement; place; place = place.parentElement) around.push(place);
  last = { element: event.target, tag: event.target.tagName, name: nameOf(event.target), around };
});

document.addEventListener("focusout", () => {
  setTimeout(() => {
    if (last?.element.isConnected && document.activeElement !== last.element) last = null; // left on purpose
  });
});

document.addEventListener("toggle", (event) => {
  if (event.target.open) unfolded.add(titleOf(event.target));
  else if (event.target.isConnected) unfolded.delete(titleOf(event.target));
}, true);

function unfold(node) {
  if (!(node instanceof HTMLElement) || !unfolded.size) return;
  for (const fold of [node, ...node.querySelectorAll("details")]) {
    if (fold.tagName === "DETAILS" && unfolded.has(titleOf(fold))) fold.open = true;
  }
}

// on a narrow screen the open page is in sight in the list of pages
let led = false;
function lead() {
  const here = document.querySelector(".pages [aria-current]");
  if (led || !here) return;
  led = true;
  here.parentElement.scrollLeft = here.offsetLeft + here.offsetWidth / 2 - here.parentElement.clientWidth / 2;
}

function refocus() {
  if (!last || last.element.isConnected || document.activeElement !== document.body) return;
  const place = last.around.find((each) => each.isConnected);
  const again = [...place.querySelectorAll(last.tag)].find((each) => nameOf(each) === last.name && each.checkVisibility());
  if (again) again.focus({ preventScroll: true });
}

new MutationObserver((changes) => {
  for (const change of changes) change.addedNodes.forEach(unfold);
  refocus();
  lead();
}).observe(document.documentElement, { childList: true, subtree: true });
