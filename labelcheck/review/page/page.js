
"use strict";
// The page can be read without this: it only zooms the pictures, and sorts and filters the findings.
(() => {
  const root = document.documentElement;
  root.classList.add("js");
  const all = (selector, within = document) => [...within.querySelectorAll(selector)];
  const still = matchMedia("(prefers-reduced-motion: reduce)");
  const table = document.getElementById("findings-table");
  const rows = table ? all("tbody tr", table) : [];
  const figures = all(".side");
  const form = document.getElementById("filter");
  let chosen = null;

  // ---- the pictures

  const whole = (svg) => svg.dataset.whole.split(" ").map(Number);
  const boxOf = (svg) => svg.getAttribute("viewBox").split(" ").map(Number);
  const drawing = (figure) => figure.querySelector("svg");
  const moving = new WeakMap();

  function look(svg, box, atOnce) {
    const from = boxOf(svg);
    const begun = performance.now();
    const ticket = {};
    moving.set(svg, ticket);
    const set = (now) => svg.setAttribute("viewBox", now.map((value) => value.toFixed(2)).join(" "));
    if (atOnce || still.matches) { set(box); return; }
    const step = (now) => {
      if (moving.get(svg) !== ticket) return;
      const share = Math.min(Math.max((now - begun) / 250, 0), 1);
      const eased = share * share * (3 - 2 * share);
      set(box.map((value, place) => from[place] + (value - from[place]) * eased));
      if (share < 1) requestAnimationFrame(step);
    };
    requestAnimationFrame(step);
  }

  function within(svg, [x, y, width, height]) {
    const [left, top, most, tallest] = whole(svg);
    const shrunk = Math.min(most / width, tallest / height, 1);
    const [w, h] = shrunk < 1 ? [most, tallest] : [width, height];
    return [Math.min(Math.max(x, left), left + most - w), Math.min(Math.max(y, top), top + tallest - h), w, h];
  }

  function scale(svg, factor, atOnce) {
    const [x, y, width, height] = boxOf(svg);
    const least = 3 * Number(svg.dataset.scale);
    const limited = Math.max(factor, least / width);
    look(svg, within(svg, [
      x + width * (1 - limited) / 2, y + height * (1 - limited) / 2, width * limited, height * limited,
    ]), atOnce);
  }

  function shift(svg, across, down, atOnce) {
    const [x, y, width, height] = boxOf(svg);
    look(svg, within(svg, [x + across, y + down, width, height]), atOnce);
  }

  function zoomTo(mark) {
    const svg = mark.ownerSVGElement;
    const [, , most, tallest] = whole(svg);
    const [x, y, width, height] = ["x", "y", "width", "height"].map((name) => Number(mark.getAttribute(name)));
    const wanted = Math.max(width * 3, height * 3 * most / tallest, 16 * Number(svg.dataset.scale));
    const share = Math.min(wanted / most, 1);
    const [w, h] = [most * share, tallest * share];
    look(svg, within(svg, [x + width / 2 - w / 2, y + height / 2 - h / 2, w, h]));
  }

  function showSide(side) {
    for (const figure of figures) figure.hidden = figure.dataset.side !== side;
    for (const button of all("[data-side-button]")) {
      button.setAttribute("aria-pressed", String(button.dataset.sideButton === side));
    }
  }

  const shownFigure = () => figures.find((figure) => !figure.hidden) || figures[0];

  // The enlarged label, where there is one, in a corner of the picture: sharper than any zoom.
  function enlarge(name, figure) {
    for (const shown of all(".enlarged")) shown.remove();
    const inset = document.querySelector('.insets a[data-choose="' + name + '"]');
    if (!inset || !figure) return;
    const shown = inset.closest("figure").querySelector("svg").cloneNode(true);
    shown.classList.add("enlarged");
    // Below the picture where the window has room for both, else over its corner.
    const frame = figure.querySelector(".window");
    (innerHeight - frame.clientHeight > 500 ? figure : frame).append(shown);
  }

  function choose(name, follow) {
    const row = document.getElementById(name);
    const mark = document.getElementById("mark-" + name);
    for (const other of all("[aria-current]", table || root)) other.removeAttribute("aria-current");
    for (const other of all(".chosen")) other.classList.remove("chosen");
    chosen = row;
    if (row) row.setAttribute("aria-current", "true");
    if (mark) {
      mark.classList.add("chosen");
      showSide(mark.closest(".side").dataset.side);
      zoomTo(mark);
    }
    enlarge(name, mark && mark.closest(".side"));
    if (row && follow) row.scrollIntoView({ block: "nearest" });
    say(mark ? name + " is shown on the " + shownFigure().dataset.side : name + " has no place on the pictures");
  }

  function unchoose() {
    for (const figure of figures) look(drawing(figure), whole(drawing(figure)));
    for (const other of all(".chosen")) other.classList.remove("chosen");
    enlarge("", null);
    if (chosen) chosen.removeAttribute("aria-current");
    chosen = null;
    say("The whole side is shown");
  }

  function step(by) {
    const seen = all("tbody tr", table).filter((row) => !row.hidden);
    if (!seen.length) return;
    const at = seen.indexOf(chosen);
    const next = at < 0 ? (by > 0 ? 0 : seen.length - 1) : (at + by + seen.length) % seen.length;
    choose(seen[next].id, true);
  }

  // ---- the tools above the pictures

  const button = (words, act, name) => {
    const made = document.createElement("button");
    made.type = "button";
    made.textContent = words;
    if (name) made.setAttribute("aria-label", name);
    made.addEventListener("click", act);
    return made;
  };

  const told = document.createElement("p");
  told.setAttribute("role", "status");
  told.className = "source";
  const say = (words) => { told.textContent = words; };

  function addTools() {
    const tools = document.createElement("div");
    tools.className = "tools";
    tools.setAttribute("role", "group");
    tools.setAttribute("aria-label", "Pictures");
    for (const figure of figures) {
      const side = figure.dataset.side;
      const made = button(side === "top" ? "Top" : "Bottom", () => { unchoose(); showSide(side); });
      made.dataset.sideButton = side;
      tools.append(made);
    }
    tools.append(
      button("+", () => scale(drawing(shownFigure()), 0.6), "Zoom in"),
      button("−", () => scale(drawing(shownFigure()), 1 / 0.6), "Zoom out"),
      button("Whole side", unchoose),
    );
    if (rows.length) {
      tools.append(
        button("‹", () => step(-1), "Previous finding"), button("›", () => step(1), "Next finding"),
      );
    }
    tools.append(told);
    document.getElementById("pictures").prepend(tools);
  }

  function watch(figure) {
    const frame = figure.querySelector(".window");
    const svg = drawing(figure);
    frame.tabIndex = 0;
    frame.setAttribute("role", "group");
    frame.setAttribute(
      "aria-label",
      "Picture of the " + figure.dataset.side + ": arrows move it, plus and minus zoom, Escape shows all of it",
    );
    frame.addEventListener("keydown", (event) => {
      const [, , width, height] = boxOf(svg);
      const act = {
        ArrowLeft: () => shift(svg, -width / 8, 0), ArrowRight: () => shift(svg, width / 8, 0),
        ArrowUp: () => shift(svg, 0, -height / 8), ArrowDown: () => shift(svg, 0, height / 8),
        "+": () => scale(svg, 0.6), "-": () => scale(svg, 1 / 0.6), Escape: unchoose,
      }[event.key];
      if (!act || event.ctrlKey || event.altKey || event.metaKey) return;
      event.preventDefault();
      act();
    });
    let held = null;
    let dragged = false;
    frame.addEventListener("pointerdown", (event) => {
      held = event.button === 0 ? [event.clientX, event.clientY] : null;
      dragged = false;
    });
    frame.addEventListener("pointermove", (event) => {
      if (!held || !(event.buttons & 1)) return;
      const [x, y] = [event.clientX - held[0], event.clientY - held[1]];
      if (!dragged && Math.hypot(x, y) < 4) return;
      dragged = true;
      held = [event.clientX, event.clientY];
      const [, , width, height] = boxOf(svg);
      const size = svg.getBoundingClientRect();
      const perPixel = Math.max(width / size.width, height / size.height);
      shift(svg, -x * perPixel, -y * perPixel, true);
    });
    frame.addEventListener("wheel", (event) => {
      if (!event.ctrlKey) return;
      event.preventDefault();
      scale(svg, event.deltaY < 0 ? 0.85 : 1 / 0.85, true);
    }, { passive: false });
    svg.addEventListener("click", (event) => {
      if (!dragged && event.target.dataset.of) choose(event.target.dataset.of, true);
    });
  }

  // ---- the table

  const words = new Intl.Collator("en", { numeric: true });
  const kept = new Map(rows.map((row) => [row, row.textContent.toLowerCase()]));

  function compare(by) {
    const value = (row) => row.dataset[by] ?? "";
    const numeric = ["number", "measured"].includes(by);
    return (one, other) => {
      const [a, b] = [value(one), value(other)];
      if (a === "" || b === "") return (a === "") - (b === "");
      if (by === "measured" && one.dataset.unit !== other.dataset.unit) {
        return words.compare(one.dataset.unit, other.dataset.unit);
      }
      return numeric ? Number(a) - Number(b) : words.compare(a, b);
    };
  }

  function sort(head) {
    const up = head.getAttribute("aria-sort") !== "ascending";
    for (const other of all("thead th", table)) other.removeAttribute("aria-sort");
    head.setAttribute("aria-sort", up ? "ascending" : "descending");
    const by = compare(head.dataset.by);
    const given = compare("number");
    const empty = (row) => (row.dataset[head.dataset.by] ?? "") === "";
    const ordered = [...rows].sort((one, other) => {
      // What was not measured comes last, whichever way round.
      if (empty(one) !== empty(other)) return empty(one) - empty(other);
      return (up ? by(one, other) : by(other, one)) || given(one, other);
    });
    table.tBodies[0].append(...ordered);
    sayShown();
  }

  function sayShown() {
    const seen = rows.filter((row) => !row.hidden).length;
    document.getElementById("shown").textContent =
      seen === rows.length ? rows.length + (rows.length === 1 ? " finding" : " findings")
        : seen + " of " + rows.length + " findings shown";
  }

  function filter() {
    const text = form.elements.text.value.trim().toLowerCase();
    const side = form.elements.side.value;
    const question = form.elements.question.value;
    const severities = new Set(all("input[name=severity]:checked", form).map((box) => box.value));
    const worstOnly = form.elements.alike && !form.elements.alike.checked;
    for (const row of rows) {
      row.hidden = !(
        !(worstOnly && row.classList.contains("alike")) &&
        severities.has(row.dataset.severity) && (!side || row.dataset.side === side) &&
        (!question || row.dataset.question === question) && (!text || kept.get(row).includes(text))
      );
      const mark = document.getElementById("mark-" + row.id);
      if (mark) mark.style.display = row.hidden ? "none" : "";
    }
    sayShown();
  }

  // ---- putting it to work

  addTools();
  for (const figure of figures) watch(figure);
  if (table) {
    for (const head of all("thead th", table)) {
      const made = button(head.textContent, () => sort(head));
      head.replaceChildren(made);
    }
    all("thead th", table)[0].setAttribute("aria-sort", "ascending");
    form.hidden = false;
    form.addEventListener("input", filter);
    form.addEventListener("submit", (event) => event.preventDefault());
    form.querySelector("[data-do=reset]").addEventListener("click", () => { form.reset(); filter(); });
    table.addEventListener("click", (event) => {
      const row = event.target.closest("tbody tr");
      if (row && !event.target.closest("a") && !String(getSelection())) choose(row.id, false);
    });
  }
  document.addEventListener("click", (event) => {
    const link = event.target.closest("a[data-choose]");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    const elsewhere = !link.closest("tbody");
    choose(link.dataset.choose, elsewhere);
    if (elsewhere) document.getElementById("findings").scrollIntoView();
  });
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && chosen && !event.defaultPrevented) unchoose();
  });
  const first = rows.find((row) => document.getElementById("mark-" + row.id));
  if (figures.length) showSide(first ? first.dataset.side : figures[0].dataset.side);
  let sideShown = null;
  addEventListener("beforeprint", () => {
    sideShown = shownFigure() && shownFigure().dataset.side;
    for (const figure of figures) {
      figure.hidden = false;
      look(drawing(figure), whole(drawing(figure)), true);
    }
    for (const row of rows) row.hidden = false;
  });
  addEventListener("afterprint", () => { if (sideShown) showSide(sideShown); if (form && table) filter(); });
})();
