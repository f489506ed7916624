"""The network: an encoder of six layers in plain numpy, which scores every piece of a sentence for every wording.

The encoder is that of Devlin et al. 2019 ("BERT"), in the size and with the first weights of Wang et al. 2020
("MiniLM"), after Vaswani et al. 2017 ("Attention is all you need"); ``tests/bench/teach.py`` taught it our sentences.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib.resources import as_file, files
from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]

_HEADS: Final = 12
_TINY: Final = 1e-12
_ROOT_2_OVER_PI: Final = np.float32(0.7978845608)
_CUBIC: Final = np.float32(0.044715)
LONGEST: Final = 128


@dataclass(frozen=True, slots=True)
class _Linear:
    """x · weights + bias."""

    weights: Floats
    bias: Floats

    def __call__(self, x: Floats) -> Floats:
        made: Floats = x @ self.weights + self.bias
        return made


@dataclass(frozen=True, slots=True)
class _Norm:
    """Mean 0 and spread 1 in each row, then scaled and moved."""

    scale: Floats
    shift: Floats

    def __call__(self, x: Floats) -> Floats:
        apart = x - x.mean(-1, keepdims=True)
        spread = np.sqrt((apart * apart).mean(-1, keepdims=True) + np.float32(_TINY))
        made: Floats = apart / spread * self.scale + self.shift
        return made


@dataclass(frozen=True, slots=True)
class _Layer:
    """Attention of every piece to every other, then the same two steps for each piece alone."""

    query_key_value: _Linear
    mix: _Linear
    mixed: _Norm
    widen: _Linear
    narrow: _Linear
    narrowed: _Norm

    def __call__(self, x: Floats) -> Floats:
        x = self.mixed(x + self.mix(self._attended(x)))
        return self.narrowed(x + self.narrow(_gelu(self.widen(x))))

    def _attended(self, x: Floats) -> Floats:
        count, width = x.shape
        query, key, value = self.query_key_value(x).reshape(count, 3, _HEADS, width // _HEADS).transpose(1, 2, 0, 3)
        weights = query @ key.transpose(0, 2, 1) * np.float32((width // _HEADS) ** -0.5)
        weights = np.exp(weights - weights.max(-1, keepdims=True))
        weights /= weights.sum(-1, keepdims=True)
        made: Floats = (weights @ value).transpose(1, 0, 2).reshape(count, width)
        return made


def _gelu(x: Floats) -> Floats:
    """Hendrycks and Gimpel 2016, "Gaussian error linear units", in its form with tanh."""
    made: Floats = np.float32(0.5) * x * (1 + np.tanh(_ROOT_2_OVER_PI * (x + _CUBIC * x * x * x)))
    return made


@dataclass(frozen=True, slots=True)
class Encoder:
    """``scores`` gives a row of scores (log odds) for each piece."""

    pieces: NDArray[np.int8]
    piece_scales: Floats
    places: Floats
    begun: _Norm
    layers: tuple[_Layer, ...]
    head: _Linear

    def scores(self, numbers: tuple[int, ...]) -> Floats:
        """(pieces, outputs) log odds; ``numbers`` are LONGEST at most."""
        at = np.array(numbers)
        x = self.pieces[at].astype(np.float32) * self.piece_scales[at]
        x = self.begun(x + self.places[: len(at)])
        for layer in self.layers:
            x = layer(x)
        return self.head(x)


@cache
def encoder() -> Encoder:
    """The network that ships with the program, loaded once."""
    with as_file(files("doubtwort.wording.second").joinpath("weights.npz")) as path, np.load(path) as kept:
        stored = {name: kept[name] for name in kept.files}

    def linear(name: str) -> _Linear:
        rows = stored[f"{name}.weights"].astype(np.float32) * stored[f"{name}.scales"].astype(np.float32)
        return _Linear(np.ascontiguousarray(rows.T), stored[f"{name}.bias"].astype(np.float32))

    def norm(name: str) -> _Norm:
        return _Norm(stored[f"{name}.scale"].astype(np.float32), stored[f"{name}.shift"].astype(np.float32))

    count = sum(name.endswith(".mix.bias") for name in stored)
    layers = tuple(
        _Layer(
            linear(f"{at}.query_key_value"), linear(f"{at}.mix"), norm(f"{at}.mixed"),
            linear(f"{at}.widen"), linear(f"{at}.narrow"), norm(f"{at}.narrowed"),
        )
        for at in range(count)
    )  # fmt: skip
    return Encoder(
        stored["pieces.weights"], stored["pieces.scales"].astype(np.float32), stored["places"].astype(np.float32),
        norm("begun"), layers, linear("head"),
    )  # fmt: skip
