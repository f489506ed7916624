"""The second reader: a small network, taught on sentences of our own, that reads beside the tables.

``worth`` tells which sentences it is asked about, ``pieces`` cuts one, ``encoder`` scores each piece, ``opinion`` is
what the sentence comes to. It sees no table and the tables do not see it; ``second_look`` brings the two together.
"""

import os

# Its matrices are small: shared out over several threads they take three times as long.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from doubtwort.wording.second.opinion import Opinion, opinion_of, subject_words
from doubtwort.wording.second.worth import worth_asking

__all__ = ["Opinion", "opinion_of", "subject_words", "worth_asking"]
