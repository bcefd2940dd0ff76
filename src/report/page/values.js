
(() => {
  "use strict";
  const figure = document.querySelector("figure[data-points]");
  const svg = figure && figure.querySelector("svg");
  const table = document.querySelector("#checks table");
  const made = (name, attributes) => {
    const element = document.createElementNS("http://www.w3.org/2000/svg", name);
    for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
    svg.append(element);
    return element;
  };

  // The value of a check where it stands on the chart, by pointer or by arrow keys.
  function tell() {
    const places = figure.dataset.points.split(" ").map((place) => place === "-" ? null : place.split(",").map(Number));
    const rows = Array.from(table.tBodies[0].rows);
    const heads = Array.from(table.tHead.rows[0].cells, (head) => head.textContent);
    const points = rows.map((row, i) => ({ row, at: places[i] })).filter((point) => point.at);
    if (!points.length) return;
    const ring = made("circle", { r: 28, class: "at", visibility: "hidden" });
    const told = document.createElement("p");
    told.className = "readout";
    told.setAttribute("role", "status");
    const hint = "Point at a check, or go through them with the arrow keys, for its value.";
    told.textContent = hint;
    figure.after(told);
    figure.setAttribute("aria-label", "chart; arrow keys go through the checks");
    let shown = -1;

    const words = (row) => Array.from(row.cells, (cell, i) => {
      const text = cell.textContent.trim();
      if (!text) return "";
      const [name, unit = ""] = heads[i].split(/, (?!.*, )/);
      if (name === "u") return `U ${Number((2 * Number(text.replace(/\s/g, ""))).toPrecision(12))} ${unit} (k = 2)`;
      if (name.startsWith("as ")) return `${name} ${text} ${unit}`.trim();
      if (heads[i].startsWith("row of ")) return `${heads[i].slice(7)}, row ${text}`;
      return text;
    }).filter(Boolean).join("  ·  ");

    function show(i) {
      shown = i;
      ring.setAttribute("visibility", i < 0 ? "hidden" : "visible");
      if (i < 0) {
        told.textContent = hint;
        return;
      }
      const [x, y] = points[i].at;
      ring.setAttribute("cx", x);
      ring.setAttribute("cy", y);
      told.textContent = words(points[i].row);
    }

    svg.addEventListener("pointermove", (event) => {
      const box = svg.getBoundingClientRect(), scale = svg.viewBox.baseVal.width / box.width;
      const [x, y] = [(event.clientX - box.left) * scale, (event.clientY - box.top) * scale + svg.viewBox.baseVal.y];
      let best = -1, least = 96;
      points.forEach((point, i) => {
        const far = Math.hypot(point.at[0] - x, point.at[1] - y);
        if (far < least) [best, least] = [i, far];
      });
      if (best >= 0 && best !== shown) show(best);
    });
    svg.addEventListener("pointerleave", () => { if (document.activeElement !== figure) show(-1); });
    figure.addEventListener("blur", () => show(-1));
    figure.addEventListener("keydown", (event) => {
      const next = {
        ArrowRight: shown + 1, ArrowLeft: shown < 0 ? points.length - 1 : shown - 1, Home: 0, End: points.length - 1,
      }[event.key];
      if (event.key === "Escape") show(-1);
      if (next === undefined) return;
      event.preventDefault();
      show(Math.max(0, Math.min(points.length - 1, next)));
      const at = points[shown].at[0] * svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
      figure.scrollLeft = at - figure.clientWidth / 2;
    });
  }

  // The interval of another target, from the table of targets.
  function slide() {
    const slider = document.querySelector("#targets input");
    const rows = Array.from(document.querySelectorAll("#targets tbody tr"));
    const told = document.querySelector("#targets output");
    const line = svg && figure.dataset.axis && made("line", { class: "target", visibility: "hidden" });
    slider.max = rows.length - 1;
    slider.value = Math.max(0, rows.findIndex((row) => row.dataset.now !== undefined));
    function show() {
      const row = rows[slider.value], [target, days, until] = Array.from(row.cells, (cell) => cell.textContent);
      slider.setAttribute("aria-valuetext", `${target}: ${days} d`);
      told.textContent = `${target}: ${days} d${until ? `, until ${until}` : ""}`;
      if (!line) return;
      const [from, to, left, right] = figure.dataset.axis.split(" ").map(Number);
      const day = Number(row.dataset.day), x = left + (right - left) * (day - from) / (to - from);
      const [top, foot] = figure.dataset.plot.split(" ").map(Number);
      for (const [name, value] of Object.entries({ x1: x, x2: x, y1: top, y2: foot })) line.setAttribute(name, value);
      line.setAttribute("visibility", row.dataset.day && x >= left && x <= right ? "visible" : "hidden");
    }
    slider.addEventListener("input", show);
    document.querySelector("#targets .slide").hidden = false;
    show();
    if (line) line.setAttribute("visibility", "hidden");
  }

  if (svg && table) tell();
  if (document.getElementById("targets")) slide();
})();
