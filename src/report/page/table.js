
(() => {
  "use strict";
  const PAGE = 100, PRINTED = 500;
  const table = document.getElementById("fleet");
  const body = table.tBodies[0];
  const rows = Array.from(body.rows);
  const form = document.getElementById("controls");
  const search = document.getElementById("search");
  const filters = [["group", 2], ["action", 3], ["status", -1]].map(([id, column]) => [document.getElementById(id), column]);
  const found = document.getElementById("found");
  const slash = document.getElementById("slash");
  const pages = document.getElementById("pages");
  const heads = Array.from(table.tHead.rows[0].cells);
  const words = rows.map((row) => row.textContent.toLowerCase());
  const order = new Map(rows.map((row, i) => [row, i]));
  const collator = new Intl.Collator(undefined, { numeric: true });
  let shown = rows, sorted = rows, first = 0, column = -1, down = false;

  const value = (row, at) => at < 0 ? row.dataset.status : row.cells[at].textContent.replace("▲ ", "");
  const span = (from, to) => `${from + 1}–${to} of ${shown.length}`;

  const button = (text, act) => {
    const made = document.createElement("button");
    made.type = "button";
    made.className = "page-button";
    made.textContent = text;
    made.addEventListener("click", act);
    return made;
  };
  const earlier = button("earlier rows", () => turn(-PAGE));
  const later = button("later rows", () => turn(PAGE));
  const where = document.createElement("span");
  pages.append(earlier, later, where);

  function turn(by) {
    first += by;
    show();
    table.scrollIntoView();
  }

  function show(most = PAGE) {
    first = Math.max(0, Math.min(first, shown.length - 1));
    const last = Math.min(first + most, shown.length);
    body.replaceChildren(...shown.slice(first, last));
    pages.hidden = shown.length <= PAGE;
    earlier.disabled = first === 0;
    later.disabled = last === shown.length;
    where.textContent = shown.length ? `rows ${span(first, last)}` : "";
    found.textContent = `${shown.length} of ${rows.length} histories`;
  }

  // What is chosen stands in the address: it survives the way back and can be sent.
  function remember() {
    const state = new URLSearchParams();
    if (search.value) state.set("search", search.value);
    filters.forEach(([select]) => { if (select.value) state.set(select.id, select.value); });
    if (column >= 0) state.set("sort", (down ? "-" : "") + heads[column].dataset.name);
    if (!slash.checked) state.set("slash", "off");
    const hash = String(state);
    if (hash || location.hash.includes("=")) history.replaceState(null, "", hash ? `#${hash}` : "#decisions");
  }

  function recall() {
    const state = new URLSearchParams(location.hash.slice(1));
    search.value = state.get("search") || "";
    filters.forEach(([select]) => {
      const wanted = state.get(select.id) || "";
      select.value = Array.from(select.options).some((option) => option.value === wanted) ? wanted : "";
    });
    slash.checked = state.get("slash") !== "off";
    const by = state.get("sort") || "";
    arrange(heads.findIndex((head) => head.dataset.name === by.replace(/^-/, "")), by.startsWith("-"));
  }

  function filter() {
    const wanted = search.value.toLowerCase().split(/\s+/).filter(Boolean);
    const chosen = filters.filter(([select]) => select.value);
    shown = sorted.filter((row) => {
      const text = words[order.get(row)];
      return wanted.every((word) => text.includes(word)) &&
        chosen.every(([select, at]) => value(row, at) === select.value);
    });
    first = 0;
    show();
    remember();
  }

  function arrange(at, downwards) {
    column = at;
    down = downwards;
    sorted = at < 0 ? rows : inOrder(at);
    heads.forEach((head, i) => {
      if (i === at) head.setAttribute("aria-sort", down ? "descending" : "ascending");
      else head.removeAttribute("aria-sort");
    });
    filter();
  }

  function inOrder(at) {
    const number = heads[at].dataset.kind === "number";
    const key = (row) => {
      const cell = row.cells[at];
      if (!number) return cell.textContent;
      return cell.dataset.v === undefined ? NaN : Number(cell.dataset.v);
    };
    const keyed = rows.map((row, i) => ({ row, i, key: key(row) }));
    const sign = down ? -1 : 1;
    keyed.sort((a, b) => {
      if (number) {
        const gaps = Number.isNaN(a.key) - Number.isNaN(b.key);
        return gaps || sign * (a.key - b.key) || a.i - b.i;
      }
      return sign * collator.compare(a.key, b.key) || a.i - b.i;
    });
    return keyed.map((entry) => entry.row);
  }

  heads.forEach((head, at) => {
    const made = document.createElement("button");
    made.type = "button";
    made.textContent = head.dataset.name = head.textContent;
    made.addEventListener("click", () => arrange(at, column === at && !down));
    head.replaceChildren(made);
  });
  rows.forEach((row) => { if (row.querySelector("a")) row.dataset.open = ""; });
  form.addEventListener("submit", (event) => event.preventDefault());
  search.addEventListener("input", filter);
  filters.forEach(([select]) => select.addEventListener("change", filter));
  body.addEventListener("click", (event) => {
    const row = event.target.closest("tr");
    const link = row && row.querySelector("a");
    if (link && !event.target.closest("a, details") && !String(getSelection())) link.click();
  });
  document.addEventListener("keydown", (event) => {
    const typing = /^(INPUT|SELECT|TEXTAREA)$/.test(document.activeElement.tagName);
    if (event.key === "/" && !typing && slash.checked) {
      event.preventDefault();
      search.focus();
    }
    if (event.key !== "ArrowDown" && event.key !== "ArrowUp") return;
    const links = Array.from(body.querySelectorAll("th a"));
    const at = links.indexOf(document.activeElement);
    if (document.activeElement === search && event.key === "ArrowDown" && links.length) links[0].focus();
    else if (at >= 0) (links[at + (event.key === "ArrowDown" ? 1 : -1)] || search).focus();
    else return;
    event.preventDefault();
  });
  addEventListener("beforeprint", () => {
    first = 0;
    show(PRINTED);
  });
  addEventListener("afterprint", () => show());
  slash.addEventListener("change", remember);
  addEventListener("hashchange", () => { if (location.hash.includes("=")) recall(); });
  form.hidden = false;
  recall();
  document.documentElement.classList.remove("loading");
})();
