"""Packers in stock."""

from __future__ import annotations

from decimal import Decimal

from django.db.models import QuerySet

from garage.models.packers import PackerStock

MOST_OF_ONE_IN_A_STACK = 30  # more of one thickness are in no stack: it would be higher than any plate is raised


def in_stock() -> QuerySet[PackerStock]:
    return PackerStock.objects.all()


def stock_mm() -> list[Decimal]:
    """Each packer that may go into a stack, once an entry."""
    return [row.thickness_mm for row in in_stock() for _ in range(min(row.count, MOST_OF_ONE_IN_A_STACK))]
