"""
Makes data/sobol.json: points of Sobol' sequences by an outside library, scipy.stats.qmc.Sobol without scrambling.

    python3 tests/published/make/sobol_points.py > tests/published/data/sobol.json
"""
import json
import platform
import sys
import warnings

import numpy
import scipy
from scipy.stats import qmc

warnings.simplefilter("ignore")
DIMENSIONS, FIRST = 40, 64
FAR = [100, 1000, 4095, 65535, 1000000]

points = qmc.Sobol(DIMENSIONS, scramble=False, bits=32).random(FIRST)
far = {}
for index in FAR:
    sequence = qmc.Sobol(DIMENSIONS, scramble=False, bits=32)
    sequence.fast_forward(index)
    far[index] = sequence.random(1)[0].tolist()
head = {
    "source": "Computed by tests/published/make/sobol_points.py: scipy.stats.qmc.Sobol, scramble=False, bits=32. Direction numbers: Joe and Kuo 2008.",
    "made": {"scipy": scipy.__version__, "numpy": numpy.__version__, "python": platform.python_version()},
    "dimensions": DIMENSIONS,
}
rows = ",\n".join("  " + json.dumps(row) for row in points.tolist())
later = ",\n".join(f'  "{index}": {json.dumps(row)}' for index, row in far.items())
sys.stdout.write(json.dumps(head, indent=1)[:-2] + ',\n "points": [\n' + rows + '\n ],\n "far": {\n' + later + "\n }\n}\n")
