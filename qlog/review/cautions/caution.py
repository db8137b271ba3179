"""The cautions: one for each thing that can hurt, in the order in which they are said."""

from __future__ import annotations

from enum import Enum


class Caution(Enum):
    """One thing to mind; its value is the key of its sentence."""

    # any machine, any bench
    SPINDLE = "spindle"
    EYES = "eyes"
    # separating
    SWARF = "swarf"
    PARTING = "parting"
    BREAKTHROUGH = "breakthrough"
    CUTTER = "cutter"
    MANDREL = "mandrel"
    WOODTURNING = "woodturning"
    SAW = "saw"
    RECIPROCATING = "reciprocating"
    WHEEL = "wheel"
    ABRASIVE = "abrasive"
    BUFF = "buff"
    EDGES = "edges"
    BLAST = "blast"
    JET = "jet"
    # forming, joining with force
    PRESS = "press"
    FORMING = "forming"
    STORED_ENERGY = "stored-energy"
    COMPRESSED_AIR = "compressed-air"
    # dust, noise
    SPARKS = "sparks"
    DUST = "dust"
    METAL_DUST = "metal-dust"
    WOOD_DUST = "wood-dust"
    NOISE = "noise"
    # heat, light, electricity
    MOLTEN = "molten"
    HOT = "hot"
    FLAME = "flame"
    ARC = "arc"
    GAS = "gas"
    LASER = "laser"
    ELECTRICITY = "electricity"
    # substances
    FUMES = "fumes"
    QUENCH = "quench"
    SALTS = "salts"
    ACID = "acid"
    SOLVENT = "solvent"
    ADHESIVE = "adhesive"
    SPRAY = "spray"
    OILY_RAGS = "oily-rags"
    DISPOSAL = "disposal"
    # who does it, and what comes first
    LICENSED = "licensed"
    DEFER = "defer"
