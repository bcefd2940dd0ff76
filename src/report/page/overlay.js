
(() => {
  "use strict";
  // Chooses which two of the histories in the picture are shown; the address keeps the choice.
  const part = document.getElementById("overlay");
  const all = Array.from(part.querySelectorAll(".over"));
  const selects = Array.from(part.querySelectorAll("select"));
  const told = part.querySelector(".stands");
  const keys = ["first", "second"];

  function show() {
    const two = selects.map((select) => all[select.value]);
    all.forEach((group) => group.classList.remove("a", "b"));
    two[0].classList.add("a");
    if (two[1] !== two[0]) two[1].classList.add("b");
    told.textContent = two.map((group, i) => `${"●■"[i]} ${group.dataset.name}: ${group.dataset.stands}`).join("; ");
  }

  function read() {
    const asked = new URLSearchParams(location.hash.slice(1));
    selects.forEach((select, i) => {
      const place = all.findIndex((group) => group.dataset.slug === asked.get(keys[i]));
      select.value = place >= 0 ? place : i;
    });
    // One that was asked for is compared with another, not with itself.
    if (selects[0].value === selects[1].value) selects[1].value = selects[0].value === "0" ? 1 : 0;
    if (asked.has("first")) part.scrollIntoView();
    show();
  }

  for (const select of selects) {
    all.forEach((group, i) => select.add(new Option(group.dataset.name, i)));
    select.addEventListener("change", () => {
      const chosen = new URLSearchParams();
      selects.forEach((one, i) => chosen.set(keys[i], all[one.value].dataset.slug));
      history.replaceState(null, "", `#${chosen}`);
      show();
    });
  }
  part.querySelector(".choose").hidden = false;
  window.addEventListener("hashchange", read);
  read();
})();
