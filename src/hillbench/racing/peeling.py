"""Lanes and heats by peeling perfect matchings off a bipartite multigraph."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from scipy.sparse import csr_array
from scipy.sparse.csgraph import maximum_bipartite_matching

Ints = npt.NDArray[np.int64]


def peel(edges: Ints, colours: int) -> Ints:
    """Split a regular bipartite multigraph into perfect matchings.

    Parameters
    ----------
    edges
        Square matrix of edge counts whose rows and columns all have the sum `colours`.
    colours
        How many matchings there are.

    Returns
    -------
    numpy.ndarray
        Column that each row is matched with, by matching and row.

    Notes
    -----
    A regular bipartite multigraph has a perfect matching, and without it is regular again
    (D. König, Über Graphen und ihre Anwendung auf Determinantentheorie und Mengenlehre,
    Mathematische Annalen 77 (1916), 453-465).
    """
    left = edges.copy()
    if (left.sum(axis=0) != colours).any() or (left.sum(axis=1) != colours).any():
        raise ValueError("each row and each column must have the sum of the colours")
    matchings = np.empty((colours, len(left)), dtype=np.int64)
    rows = np.arange(len(left))
    for colour in range(colours):
        matched = maximum_bipartite_matching(csr_array(left > 0), perm_type="column")
        matchings[colour] = matched
        left[rows, matched] -= 1
    return matchings


def lanes_of(blocks: npt.NDArray[np.int32], cars: int) -> npt.NDArray[np.int32]:
    """Return the cars of each heat by lane, so that each car runs equally often on each.

    Parameters
    ----------
    blocks
        Cars by heat, each car in `lanes` times as many heats as it is to run on a lane.
    cars
        Number of cars, numbered from 0.

    Notes
    -----
    Each `lanes` runs of a car, in the order run, make one vertex; heats are the other side.
    So a car has had every lane after every `lanes` runs.
    """
    heats, lanes = blocks.shape
    turns = heats // cars
    edges = np.zeros((heats, cars * turns), dtype=np.int64)
    done = np.zeros(cars, dtype=np.int64)
    for heat, block in enumerate(blocks):
        edges[heat, block * turns + done[block] // lanes] += 1
        done[block] += 1
    table: npt.NDArray[np.int32] = (peel(edges, lanes) // turns).T.astype(np.int32)
    return table


def heats_of(need: Ints) -> npt.NDArray[np.int32]:
    """Return the fewest heats that give each car the runs it needs on each lane.

    Parameters
    ----------
    need
        Runs needed, by car and lane.

    Returns
    -------
    numpy.ndarray
        Cars by heat and lane; the number after the last car is an empty place. There are as
        many heats as the busiest car has runs or the busiest lane has cars, whichever is more.

    Notes
    -----
    An edge colouring of the bipartite multigraph of cars and lanes (König, as in `peel`), made
    regular first: two copies of the graph, with the missing edges between each vertex and its
    own copy.
    """
    cars, lanes = need.shape
    colours = int(max(need.sum(axis=0).max(initial=0), need.sum(axis=1).max(initial=0)))
    if colours == 0:
        return np.empty((0, lanes), dtype=np.int32)
    size = cars + lanes
    edges = np.zeros((size, size), dtype=np.int64)
    # Rows: the cars, then the copies of the lanes. Columns: the lanes, then the copies of cars.
    edges[:cars, :lanes] = need
    edges[cars:, lanes:] = need.T
    edges[np.arange(cars), lanes + np.arange(cars)] = colours - need.sum(axis=1)
    edges[cars + np.arange(lanes), np.arange(lanes)] = colours - need.sum(axis=0)
    heats = np.full((colours, lanes), cars, dtype=np.int32)
    for heat, matched in enumerate(peel(edges, colours)):
        running = np.flatnonzero(matched[:cars] < lanes)
        heats[heat, matched[running]] = running
    return heats
