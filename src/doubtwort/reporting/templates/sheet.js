"use strict";
(() => {
  const at = (id) => document.getElementById(id);
  const plain = (text) => text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
  const rows = (selector) => [...document.querySelectorAll(selector)].map((row) => ({
    row, text: plain(row.textContent), months: (row.dataset.months || "none").split(" "),
  }));
  const today = new Date().toISOString().slice(0, 10);
  for (const row of document.querySelectorAll(".entry")) {
    if (!row.dataset.review || row.dataset.review > today || row.querySelector(".late")) continue;
    const late = document.createElement("strong");
    late.className = "late";
    late.textContent = ` · ${document.querySelector(".flow").dataset.late}`;
    row.querySelector(".rest > .under").append(late);
  }
  const entries = rows(".entry"), apart = rows(".not");
  const narrow = (all, fits) => {
    let shown = 0;
    for (const each of all) {
      const hidden = !fits(each);
      if (each.row.hidden !== hidden) each.row.hidden = hidden;
      shown += hidden ? 0 : 1;
    }
    return shown;
  };
  const show = () => {
    const typed = at("words").value.trim(), month = at("month");
    const wanted = plain(typed).split(/\s+/).filter(Boolean);
    const named = (each) => wanted.every((word) => each.text.includes(word));
    const on = narrow(entries, (each) => named(each) && (!month.value || each.months.includes(month.value)));
    // What is not to be eaten is so in every month.
    const off = narrow(apart, named);
    const limits = [month.value && month.selectedOptions[0].text, typed && `“${typed.slice(0, 80)}”`].filter(Boolean);
    const said = `${on} of ${entries.length} on the list; ${off} of ${apart.length} not to be eaten by this list`;
    at("count").textContent = said;
    at("shown").textContent = limits.length ? `${limits.join(", ")}: ${said}` : said;
    at("nothing").hidden = on > 0;
  };
  at("filters").addEventListener("input", show);
  at("filters").addEventListener("submit", (event) => event.preventDefault());
  at("filters").hidden = entries.length + apart.length < 2;
  show();
})();
