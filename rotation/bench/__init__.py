"""Bench notes of one bake: what is weighed when, clock times, temperatures, what becomes of it."""

from rotation.bench.amounts import Amount, Measure
from rotation.bench.making import bench
from rotation.bench.notes import BenchNotes

__all__ = ["Amount", "BenchNotes", "Measure", "bench"]
