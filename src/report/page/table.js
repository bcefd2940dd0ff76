
(() => {
  "use strict";
  const PAGE = 100, PRINTED = 500;
  const table = document.getElementById("fleet");
  const body = table.tBodies[0];
  const form = document.getElementById("controls");
  const search = document.getElementById("search");
  const filters = ["group", "action", "status"].map((id) => document.getElementById(id));
  const found = document.getElementById("found");
  const slash = document.getElementById("slash");
  const pages = document.getElementById("pages");
  const printed = document.getElementById("printed");
  const heads = Array.from(table.tHead.rows[0].cells);
  const collator = new Intl.Collator(undefined, { numeric: true });

  // A row that stands in the page.
  function standing(row) {
    const text = Array.from(row.cells, (cell) => cell.textContent);
    return {
      element: () => row, words: row.textContent.toLowerCase(), text,
      keys: Array.from(row.cells, (cell) => cell.dataset.v === undefined ? NaN : Number(cell.dataset.v)),
      group: text[2], action: text[3].replace("▲ ", ""), status: row.dataset.status,
    };
  }

  // A row of which only the data stand in the page: made when it is turned to.
  function remaining(data) {
    const [status, slug, instrument, point, group, action, due, late, proposed, interval, drift, inside, cause, note] = data;
    const text = [instrument, point, group, action, late ? `${due} ${late}` : due, proposed, interval, drift, inside, note ? `${cause} (${note})` : cause];
    const keys = [NaN, NaN, NaN, ...data.slice(14).map((key) => key === null ? NaN : key), NaN];
    let made = null;
    function element() {
      if (made) return made;
      made = document.createElement("tr");
      made.dataset.status = status;
      text.forEach((words, at) => {
        const cell = document.createElement(at ? "td" : "th");
        if (at) cell.textContent = words;
        else cell.scope = "row";
        if (at > 5 && at < 9) cell.className = "n";
        if (!Number.isNaN(keys[at])) cell.dataset.v = keys[at];
        made.append(cell);
      });
      const link = document.createElement(slug ? "a" : "span");
      link.textContent = instrument;
      if (slug) link.href = `instruments/${slug}.html`;
      made.cells[0].append(link);
      if (keys[3] < 2) {
        made.className = "urgent";
        made.cells[3].prepend("▲ ");
      }
      if (slug) made.dataset.open = "";
      return made;
    }
    return { element, words: text.join(" ").toLowerCase(), text, keys, group, action, status };
  }

  const rest = document.getElementById("rest");
  const rows = Array.from(body.rows, standing);
  // A number among the texts of a row stands for a text of the list that many rows share.
  if (rest) {
    const [shared, ...data] = JSON.parse(rest.textContent);
    data.forEach((cells) => rows.push(remaining(cells.map((cell, at) => at < 14 && typeof cell === "number" ? shared[cell] : cell))));
  }
  rows.forEach((row, place) => { row.place = place; });
  let shown = rows, sorted = rows, first = 0, column = -1, down = false;

  // Digits in threes, as the page writes its numbers.
  const number = (count) => count < 10000 ? String(count) : String(count).replace(/\B(?=(\d{3})+$)/g, "\u202f");
  const histories = () => `${number(shown.length)} of ${number(rows.length)} histories`;
  const span = (from, to) => `${number(from + 1)}–${number(to)} of ${number(shown.length)}`;

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
    body.replaceChildren(...shown.slice(first, last).map((row) => row.element()));
    pages.hidden = shown.length <= PAGE;
    earlier.disabled = first === 0;
    later.disabled = last === shown.length;
    where.textContent = shown.length ? `rows ${span(first, last)}` : "";
    found.textContent = histories();
    printed.textContent = told(last);
  }

  // What is left out and by which choice, for a sheet that has no controls; nothing where all rows stand on it.
  function told(last) {
    const chosen = filters.filter((select) => select.value).map((select) => `${select.id} ${select.value}`);
    if (search.value) chosen.unshift(`search “${search.value}”`);
    const parts = [];
    if (chosen.length) parts.push(`Chosen by ${chosen.join(", ")}: ${histories()}.`);
    if (last - first < shown.length) parts.push(`Here are rows ${span(first, last)}; all are in the table decisions.`);
    return parts.join(" ");
  }

  // What is chosen stands in the address: it survives the way back and can be sent.
  function remember() {
    const state = new URLSearchParams();
    if (search.value) state.set("search", search.value);
    filters.forEach((select) => { if (select.value) state.set(select.id, select.value); });
    if (column >= 0) state.set("sort", (down ? "-" : "") + heads[column].dataset.name);
    if (!slash.checked) state.set("slash", "off");
    const hash = String(state);
    if (hash || location.hash.includes("=")) history.replaceState(null, "", hash ? `#${hash}` : "#decisions");
  }

  function recall() {
    const state = new URLSearchParams(location.hash.slice(1));
    search.value = state.get("search") || "";
    filters.forEach((select) => {
      const wanted = state.get(select.id) || "";
      select.value = Array.from(select.options).some((option) => option.value === wanted) ? wanted : "";
    });
    slash.checked = state.get("slash") !== "off";
    const by = state.get("sort") || "";
    arrange(heads.findIndex((head) => head.dataset.name === by.replace(/^-/, "")), by.startsWith("-"));
  }

  function filter() {
    const wanted = search.value.toLowerCase().split(/\s+/).filter(Boolean);
    const chosen = filters.filter((select) => select.value);
    shown = sorted.filter((row) => wanted.every((word) => row.words.includes(word)) &&
      chosen.every((select) => row[select.id] === select.value));
    first = 0;
    show();
    picture();
    remember();
    document.dispatchEvent(new CustomEvent("chosen", { detail: new Set(shown.map((row) => row.place)) }));
  }

  // The pictures follow the group that is chosen, where the page has them.
  const pictures = document.getElementById("pictures"), pictured = document.getElementById("pictured");
  const whole = Array.from(pictures.childNodes);
  function picture() {
    const { value } = filters[0];
    const own = value && Array.from(document.querySelectorAll("template[data-group]")).find((one) => one.dataset.group === value);
    pictures.replaceChildren(...(own ? [own.content.cloneNode(true)] : whole));
    pictured.textContent = own ? `The group ${value}` : "The fleet";
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
    const sign = down ? -1 : 1;
    return rows.slice().sort((a, b) => {
      if (!number) return sign * collator.compare(a.text[at], b.text[at]) || a.place - b.place;
      const gaps = Number.isNaN(a.keys[at]) - Number.isNaN(b.keys[at]);
      return gaps || sign * (a.keys[at] - b.keys[at]) || a.place - b.place;
    });
  }

  heads.forEach((head, at) => {
    const made = document.createElement("button");
    made.type = "button";
    made.textContent = head.dataset.name = head.textContent;
    made.addEventListener("click", () => arrange(at, column === at && !down));
    head.replaceChildren(made);
  });
  Array.from(body.rows).forEach((row) => { if (row.querySelector("a")) row.dataset.open = ""; });
  form.addEventListener("submit", (event) => event.preventDefault());
  search.addEventListener("input", filter);
  filters.forEach((select) => select.addEventListener("change", filter));
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
