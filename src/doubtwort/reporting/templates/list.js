"use strict";
(() => {
  const form = document.getElementById("filters");
  const cards = [...document.querySelectorAll(".card")].map((card) => ({
    card, rating: card.dataset.rating, warns: card.dataset.warns === "yes", words: card.dataset.words.toLowerCase(),
  }));
  const show = () => {
    const wanted = document.getElementById("words").value.toLowerCase().split(/\s+/).filter(Boolean);
    const ratings = new Set([...form.querySelectorAll("input[name=rating]:checked")].map((box) => box.value));
    const warned = document.getElementById("warned").checked;
    let shown = 0;
    for (const each of cards) {
      const fits = ratings.has(each.rating) && (each.warns || !warned) && wanted.every((word) => each.words.includes(word));
      each.card.hidden = !fits;
      shown += fits ? 1 : 0;
    }
    document.getElementById("count").textContent = `${shown} of ${cards.length} shown`;
  };
  form.addEventListener("input", show);
  form.addEventListener("submit", (event) => event.preventDefault());
  form.hidden = cards.length < 2;
  show();
})();
