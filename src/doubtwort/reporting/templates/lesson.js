"use strict";
(() => {
  const exercises = [...document.querySelectorAll(".exercise")];
  const compared = new Map();
  const paragraph = (text, kind) => {
    const made = document.createElement("p");
    made.textContent = text;
    if (kind) made.className = kind;
    return made;
  };
  const chosen = (field) => [...field.querySelectorAll("input:checked")].map((box) => box.value);
  const fields = (exercise) => [...exercise.querySelectorAll("fieldset")];
  const tell = () => {
    const score = document.getElementById("score");
    if (!score) return;
    const all = [...compared.values()].flat();
    const lines = [paragraph(`Compared: ${compared.size} of ${exercises.length} exercises. As they were read: ${all.filter((each) => each.right).length} of ${all.length} answers.`)];
    const missed = [...new Set(all.filter((each) => !each.right).map((each) => each.title))];
    if (missed.length) lines.push(paragraph(`Look again at: ${missed.join(", ")}.`));
    const trusted = all.filter((each) => each.trusted).length;
    if (trusted) lines.push(paragraph(`Gravest: ${trusted === 1 ? "a sentence that does not bear its claim out was" : `${trusted} sentences that do not bear their claims out were`} taken to.`));
    score.replaceChildren(...lines);
  };
  const compare = (exercise) => {
    const told = fields(exercise).map((field) => {
      const said = chosen(field), right = field.dataset.answer.split(" ");
      return {
        key: field.dataset.key, said, right: said.length === right.length && right.every((word) => said.includes(word)),
        wanted: right.join(" + "), title: exercise.dataset.title,
        trusted: field.dataset.key === "support" && said.includes("supports") && !right.includes("supports"),
      };
    });
    exercise.querySelector(".verdicts").replaceChildren(...told.map((each) => paragraph(
      each.right ? `${each.key}: as it was read: ${each.wanted}`
        : each.said.length ? `${each.key}: you say ${each.said.join(" + ")}; the reading is ${each.wanted}`
          : `${each.key}: left open; the reading is ${each.wanted}`, each.right ? "" : "off")));
    compared.set(exercise.id, told.filter((each) => each.said.length));
    const solution = exercise.querySelector(".solution");
    solution.hidden = false;
    solution.open = true;
    tell();
  };
  const mark = document.getElementById("mark");
  const unnamed = `u${[...crypto.getRandomValues(new Uint8Array(4))].map((each) => each.toString(16).padStart(2, "0")).join("")}`;
  const write = () => {
    const learner = mark.value.replace(/[^\p{L}\p{N} ._]/gu, "").trim() || unnamed;
    const rows = exercises.map((exercise) => [learner, exercise.dataset.id, ...fields(exercise).map((field) => chosen(field).join(";"))]);
    document.getElementById("csv").value = ["learner,exercise,wording,whose,support", ...rows.map((row) => row.join(","))].join("\n") + "\n";
  };
  for (const exercise of exercises) {
    const button = exercise.querySelector(".checks button");
    if (!button) continue;
    exercise.querySelector(".checks").hidden = false;
    exercise.querySelector(".solution").hidden = true;
    button.addEventListener("click", () => compare(exercise));
  }
  document.addEventListener("input", write);
  document.getElementById("summary").hidden = false;
  write();
})();
