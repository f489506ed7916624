"""Run by bench_reader.py in an environment that has medspacy: ConText (Harkema et al. 2009) over sentences.

Reads ``{"texts": […], "runs": 3, "split": true}`` from standard input, writes ``{"seconds": best, "sentences": n,
"targets": [[["edible", negated, hypothetical, uncertain], …], …]}``. The pipeline is blank English, a sentence splitter
where asked for, the target words below and medspacy's own context rules.
"""

import json
import sys
import time

import spacy
from medspacy.context import ConText  # noqa: F401  (registers the component)
from medspacy.ner import TargetRule

TARGETS = {
    "edible": ["edible", "eaten", "eat", "eating", "esculent"],
    "toxic": [
        "poisonous",
        "poison",
        "poisoning",
        "toxic",
        "toxicity",
        "deadly",
        "lethal",
        "harmful",
        "fatal",
        "dangerous",
    ],
}


def pipeline(split):
    nlp = spacy.blank("en")
    if split:
        nlp.add_pipe("sentencizer")
    else:

        @spacy.Language.component("one_sentence")
        def one_sentence(doc):
            for token in doc:
                token.is_sent_start = token.i == 0
            return doc

        nlp.add_pipe("one_sentence")
    matcher = nlp.add_pipe("medspacy_target_matcher")
    matcher.add([TargetRule(word, label) for label, words in TARGETS.items() for word in words])
    nlp.add_pipe("medspacy_context")
    return nlp


def main():
    asked = json.load(sys.stdin)
    nlp = pipeline(asked["split"])
    best, found = float("inf"), []
    for _ in range(asked["runs"]):
        started = time.process_time()
        found = list(nlp.pipe(asked["texts"]))
        best = min(best, time.process_time() - started)
    targets = [
        [[ent.label_, ent._.is_negated, ent._.is_hypothetical, ent._.is_uncertain] for ent in doc.ents] for doc in found
    ]
    json.dump(
        {"seconds": best, "sentences": sum(len(list(doc.sents)) for doc in found), "targets": targets}, sys.stdout
    )


if __name__ == "__main__":
    main()
