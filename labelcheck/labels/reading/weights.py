"""The trained weights: one small file beside this module."""

from pathlib import Path

import numpy as np

from labelcheck.labels.reading.calibration import Calibration
from labelcheck.labels.reading.network import Network

WEIGHTS_FILE = Path(__file__).with_name("characters.npz")


def save_weights(network: Network, calibration: Calibration, file: Path) -> None:
    """Write the weights as 16-bit floats; equal weights give equal bytes."""
    np.savez_compressed(
        file,
        middle=network.middle, scale=network.scale,
        into_hidden=network.into_hidden.astype(np.float16), hidden_bias=network.hidden_bias.astype(np.float32),
        into_classes=network.into_classes.astype(np.float16), class_bias=network.class_bias.astype(np.float32),
        temperature=np.float64(network.temperature),
        calibration=np.array((calibration.slope, calibration.offset)),
    )


def load_weights(file: Path = WEIGHTS_FILE) -> tuple[Network, Calibration]:
    """Read the weights and the calibration."""
    with np.load(file) as columns:
        network = Network(
            **{
                name: columns[name].astype(np.float32)
                for name in ("middle", "scale", "into_hidden", "hidden_bias", "into_classes", "class_bias")
            },
            temperature=float(columns["temperature"]),
        )
        slope, offset = columns["calibration"].tolist()
    return network, Calibration(slope, offset)
