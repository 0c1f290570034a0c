"""Points in faces tell the layer that is seen where a face has room for one."""

import numpy as np
import pytest
from shapely import box

from mateline.pattern.arrangement import arrangement_of
from mateline.pattern.face_samples import sampled_layers
from mateline.planar.half_edges import graph_of, loop_sums


@pytest.mark.parametrize("extent", [2.0**-8, 1.0, 2.0**20])
@pytest.mark.parametrize(("share", "told"), [(2.0**-12, 1), (2.0**-32, 1), (2.0**-40, 0)])
def test_a_strip_as_thin_as_noding_may_move_a_chain_is_not_asked(extent, share, told):
    """Whatever the unit: a chain may lie a share of 2^-39 off, and the strip's word was 0."""
    wide = share * extent
    layers = np.array([box(0, 0, extent, wide), box(0, 0, extent, extent)], dtype=object)
    chains, _ = arrangement_of(layers, 0.0)
    graph = graph_of(chains)
    _, area = loop_sums(chains, graph)
    (strip,) = np.flatnonzero(np.isclose(area, wide * extent, rtol=1e-6, atol=0.0)).tolist()
    word = np.zeros(len(area), dtype=np.int64)
    outer = graph.loop[np.argmin(area[graph.loop])]
    word[outer] = len(layers)
    seen = sampled_layers(word, np.arange(len(graph.loop)), (chains, graph), layers, 0.0)
    assert seen[strip] == told
