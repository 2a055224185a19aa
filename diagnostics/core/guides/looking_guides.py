"""The guides to looking and measuring with the engine off: spark, fuel, air, and what the ear hears."""

from __future__ import annotations

from diagnostics.core.guides.guide import Guide

LOOKING: tuple[Guide, ...] = ()
