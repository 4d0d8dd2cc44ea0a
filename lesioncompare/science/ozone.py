"""How much ozone to expect above a place at a time of year.

References
----------
[1] Robinson N (1966) Solar Radiation, Elsevier: mean total ozone by latitude and month, as handed
    on by McCullough EC, Porter WP (1971) Ecology 52:1008-1015 and Iqbal M (1983) An Introduction
    to Solar Radiation, Academic Press, table 5.3.2 (both cited from memory).
"""

from datetime import date

import numpy as np

LATITUDES = np.arange(-90.0, 91.0, 10.0)
# [DU / 10] rows from 90 S to 90 N, columns from January to December [1]; from before the
# thinning of the ozone layer, so the far south in spring is too high
MEANS = np.array(
    [
        [31, 30, 30, 27, 34, 38, 43, 45, 41, 37, 34, 31],
        [31, 31, 31, 28, 35, 40, 44, 46, 42, 38, 36, 32],
        [32, 31, 31, 29, 34, 39, 43, 45, 43, 40, 38, 34],
        [32, 31, 30, 30, 33, 38, 41, 42, 42, 40, 39, 35],
        [31, 30, 29, 30, 32, 36, 39, 40, 40, 39, 37, 35],
        [30, 29, 28, 29, 31, 33, 35, 37, 38, 37, 34, 32],
        [27, 28, 26, 27, 28, 28, 29, 31, 32, 32, 29, 29],
        [24, 25, 24, 25, 25, 25, 25, 26, 26, 26, 26, 25],
        [23, 24, 24, 24, 24, 24, 24, 24, 24, 24, 24, 23],
        [22, 22, 23, 23, 24, 24, 24, 23, 23, 22, 22, 22],
        [23, 24, 24, 25, 26, 25, 25, 24, 24, 23, 23, 23],
        [24, 26, 26, 27, 28, 27, 26, 26, 26, 25, 25, 25],
        [27, 28, 29, 30, 30, 30, 29, 28, 27, 26, 26, 27],
        [30, 32, 33, 34, 34, 33, 31, 30, 28, 27, 28, 29],
        [32, 36, 38, 38, 37, 35, 33, 31, 30, 28, 29, 30],
        [33, 39, 42, 40, 39, 36, 34, 32, 30, 28, 30, 31],
        [34, 40, 45, 42, 40, 36, 34, 31, 29, 28, 29, 31],
        [34, 40, 46, 43, 40, 36, 33, 30, 28, 27, 29, 31],
        [33, 39, 46, 42, 39, 34, 32, 30, 27, 26, 28, 30],
    ],
    float,
)
DAYS = 365.25
MIDDLES = (np.arange(12) + 0.5) * DAYS / 12  # [days] of the year


def usual_ozone(latitude_deg: float, day: date) -> float:
    """Ozone column to be expected, between the monthly means of a table [DU].

    Single days differ by tens of DU; 10 % of ozone changes the UV index by about 12 %.
    """
    now = day.timetuple().tm_yday - 0.5
    by_month = [np.interp(latitude_deg, LATITUDES, column) for column in MEANS.T]
    return float(10 * np.interp(now, MIDDLES, by_month, period=DAYS))
