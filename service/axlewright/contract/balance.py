"""Balance of the core to the wire."""

from typing import Annotated, Literal, TypedDict

from msgspec import Meta, Struct

from axlewright.contract.output import LengthOut, MassOut, NameOut, ShareOut, UnknownOut
from axlewright.contract.words import PROVISIONAL, UNKNOWN, UNSTATED
from axlewright.core.assessment import Assessment
from axlewright.core.balance.distribution import SideDifference, VehicleBalance
from axlewright.core.estimates import Estimate, UnknownBecause


class LengthAnswer(Struct, frozen=True, kw_only=True):
    """A place with its doubt."""

    value: Annotated[LengthOut | None, Meta(description="Best estimate.")]
    standard_uncertainty: Annotated[LengthOut | None, Meta(description="u; null where nobody stated it.")]
    provisional: Annotated[bool, Meta(description="The readings beneath it failed their cross-check.")]
    unknown_because: UnknownOut


class ShareAnswer(Struct, frozen=True, kw_only=True):
    """A share with its doubt."""

    value: Annotated[ShareOut | None, Meta(description="Best estimate.")]
    standard_uncertainty: Annotated[ShareOut | None, Meta(description="u; null where nobody stated it.")]
    provisional: Annotated[bool, Meta(description="The readings beneath it failed their cross-check.")]
    unknown_because: UnknownOut


class SideAnswer(Struct, frozen=True, kw_only=True):
    """Right less left."""

    difference: Annotated[MassOut | None, Meta(description="Right less left; negative where left is heavier.")]
    standard_uncertainty: Annotated[MassOut | None, Meta(description="Of the difference.")]
    provisional: Annotated[bool, Meta(description="The readings beneath it failed their cross-check.")]
    heavy_side: Annotated[
        Literal["left", "right"] | None,
        Meta(description="Null where the difference is within its doubt, or the doubt is not known."),
    ]
    unknown_because: UnknownOut


class AxleSideAnswer(SideAnswer, frozen=True, kw_only=True):
    """Right less left of one axle, and what common practice says to it."""

    axle: Annotated[NameOut, Meta(description="Which axle.")]
    band: Annotated[
        Literal["ordinary", "look", "act"] | None,
        Meta(description="Common practice, information only: `look` into the bays, `act` on it. No limit."),
    ]
    look_from: Annotated[
        MassOut | None, Meta(description="Where `look` begins: the lesser of 800 lb and 8 % of the axle.")
    ]
    act_from: Annotated[
        MassOut | None, Meta(description="Where `act` begins: the lesser of 1,000 lb and 10 % of the axle.")
    ]


class EndShareAnswer(ShareAnswer, frozen=True, kw_only=True):
    """An axle's share of the load on all axles of its vehicle."""

    axle: Annotated[NameOut, Meta(description="Which axle.")]


class CenterOfGravity(Struct, frozen=True, kw_only=True):
    """Where the vehicle's weight acts, in plan; its height cannot be known from level weighing."""

    aft: Annotated[LengthAnswer, Meta(description="Behind the vehicle's first axle.")]
    right: Annotated[LengthAnswer, Meta(description="To the right of the centre line.")]


class BalanceAnswer(Struct, frozen=True, kw_only=True):
    """Where one vehicle's load sits."""

    vehicle: Annotated[NameOut, Meta(description="Which vehicle.")]
    center_of_gravity: Annotated[CenterOfGravity, Meta(description="Where its weight acts.")]
    sides: Annotated[SideAnswer, Meta(description="All axles together.")]
    axle_sides: Annotated[list[AxleSideAnswer], Meta(max_length=8, description="Each axle.")]
    end_shares: Annotated[list[EndShareAnswer], Meta(max_length=8, description="Each axle's share.")]
    twist: Annotated[
        ShareAnswer,
        Meta(
            description="Share of the load on the diagonal right front to left rear beyond what end and side shares "
            "explain: a twisted frame or suspension. For two axles only."
        ),
    ]


def balance_answers(assessment: Assessment) -> list[BalanceAnswer]:
    """Return the balance of every vehicle, in SI."""
    return [_balance_answer(balance) for balance in assessment.balances]


def _balance_answer(balance: VehicleBalance) -> BalanceAnswer:
    return BalanceAnswer(
        vehicle=balance.vehicle,
        center_of_gravity=CenterOfGravity(
            aft=LengthAnswer(**_figures(balance.aft)), right=LengthAnswer(**_figures(balance.right))
        ),
        sides=SideAnswer(**_side(balance.sides)),
        axle_sides=[
            AxleSideAnswer(
                axle=axle,
                band=side.band.value if side.band else None,
                look_from=side.look_from_kg,
                act_from=side.act_from_kg,
                **_side(side),
            )
            for axle, side in balance.side_by_axle.items()
        ],
        end_shares=[EndShareAnswer(axle=axle, **_figures(share)) for axle, share in balance.end_shares.items()],
        twist=ShareAnswer(**_figures(balance.twist))
        if balance.twist is not None
        else ShareAnswer(
            value=None,
            standard_uncertainty=None,
            provisional=False,
            unknown_because="Twist is told for two axles only.",
        ),
    )


class _Figures(TypedDict):
    value: float | None
    standard_uncertainty: float | None
    provisional: bool
    unknown_because: str | None


class _SideFigures(TypedDict):
    difference: float | None
    standard_uncertainty: float | None
    provisional: bool
    heavy_side: Literal["left", "right"] | None
    unknown_because: str | None


def _side(side: SideDifference) -> _SideFigures:
    figures = _figures(side.difference)
    return {
        "difference": figures["value"],
        "standard_uncertainty": figures["standard_uncertainty"],
        "provisional": figures["provisional"],
        "heavy_side": side.heavy_side.value if side.heavy_side else None,
        "unknown_because": figures["unknown_because"] or (PROVISIONAL if figures["provisional"] else None),
    }


def _figures(value: Estimate | UnknownBecause) -> _Figures:
    if isinstance(value, UnknownBecause):
        return {
            "value": None,
            "standard_uncertainty": None,
            "provisional": False,
            "unknown_because": UNKNOWN[value],
        }
    return {
        "value": value.value,
        "standard_uncertainty": value.u,
        "provisional": value.provisional,
        "unknown_because": UNSTATED if value.u is None else None,
    }
