
(() => {
  "use strict";
  const two = (number) => String(number).padStart(2, "0");
  const today = () => {
    const now = new Date();
    return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
  };
  const quoted = (text) => /[",;\t\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;

  // What is wrong with a row is said of the field that mends it.
  class Wrong extends Error {
    constructor(field, words) {
      super(words);
      this.field = field;
    }
  }
  const filled = (field, words) => {
    const text = field.value.trim();
    if (!text) throw new Wrong(field, words);
    return text;
  };

  const lines = {
    approvals(row, form) {
      const [chosen] = row.querySelectorAll("input:checked");
      if (!chosen || !chosen.value) return null;
      const days = row.querySelector("[type=number]"), why = row.querySelector("td:last-child input");
      const own = chosen.value === "other";
      if (own && !(Number(days.value) > 0)) throw new Wrong(days, "another interval needs its days");
      const reason = why.value.trim() || form.elements.why.value.trim();
      if (!reason && chosen.value !== "approved") throw new Wrong(why, "a rejection or another interval needs a reason");
      const { proposed } = row.dataset;
      return {
        proposed_days: proposed, approved_days: own ? String(Number(days.value)) : chosen.value === "approved" ? proposed : "",
        decision: chosen.value, valid_until: "", reason,
      };
    },
    cases(row) {
      if (!row.querySelector("[type=checkbox]").checked) return null;
      const [done, reference] = row.querySelectorAll("td:nth-last-child(-n+2) input");
      return {
        finding: row.dataset.finding, action: filled(done, "closing a case needs what was done"),
        reference: reference.value.trim(),
      };
    },
  };

  function book(form) {
    const made = [];
    const rows = Array.from(form.querySelectorAll("tbody tr"));
    for (const row of rows) {
      const name = row.cells[0].firstChild.textContent.trim();
      try {
        const line = lines[form.dataset.book](row, form);
        if (line) made.push({ instrument: row.dataset.instrument, point: row.dataset.point, ...line });
      } catch (error) {
        if (error instanceof Wrong) error.message = `${name}: ${error.message}`;
        throw error;
      }
    }
    if (!made.length) throw new Wrong(rows[0].querySelector("input"), "nothing is decided yet");
    const by = filled(form.elements.by, "expected who decides");
    const on = filled(form.elements.on, "expected the day of the decision");
    if (on > today()) throw new Wrong(form.elements.on, "the day of the decision lies in the future");
    const columns = form.dataset.columns.split(",");
    const signed = { by, on, closed_by: by, closed_on: on };
    const text = made.map((line) => columns.map((name) => quoted({ ...signed, ...line }[name])).join(","));
    return { on, count: made.length, text: [form.dataset.columns, ...text, ""].join("\n") };
  }

  function save(form) {
    const told = form.querySelector(".told");
    try {
      const { on, count, text } = book(form);
      const link = document.createElement("a");
      link.href = URL.createObjectURL(new Blob([text], { type: "text/csv;charset=utf-8" }));
      link.download = `${form.dataset.book}-decided-${on}.csv`;
      link.click();
      setTimeout(() => URL.revokeObjectURL(link.href), 60000);
      told.textContent = `${count === 1 ? "1 decision" : `${count} decisions`} saved as ${link.download}. Put in force by: ` +
        `${form.dataset.command} ${link.download} --records (your pipeline file)`;
    } catch (error) {
      if (!(error instanceof Wrong)) throw error;
      told.textContent = `Not saved. ${error.message}.`;
      error.field.closest("tr")?.removeAttribute("hidden");
      error.field.focus();
    }
  }

  document.querySelectorAll("form.decide").forEach((form) => {
    form.querySelector(".save").hidden = false;
    form.elements.on.value ||= today();
    form.addEventListener("reset", () => setTimeout(() => { form.elements.on.value = today(); }));
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      save(form);
    });
    form.addEventListener("input", (event) => {
      const row = event.target.closest("tr");
      if (row && event.target.type === "number" && event.target.value) row.querySelector("[value=other]").checked = true;
    });
    // What the table of the fleet leaves out is left out here, unless it is decided already.
    document.addEventListener("chosen", (event) => {
      form.querySelectorAll("tr[data-place]").forEach((row) => {
        const decided = row.querySelector("input:checked")?.value;
        row.hidden = !decided && !event.detail.has(Number(row.dataset.place));
      });
    });
  });
})();
