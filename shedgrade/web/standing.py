"""What a voided consignment no longer takes."""

from fastapi import HTTPException

from shedgrade.storage.intake import ConsignmentWhole


def void_words(name: str) -> str:
    """Why nothing can be added to a consignment that was voided."""
    return (
        f"Consignment {name} was voided and counts no longer, so nothing was stored. Its page says who, when and why."
    )


def must_stand(whole: ConsignmentWhole) -> None:
    """Refuse, in a sentence, to add to a voided consignment."""
    if whole.voided:
        raise HTTPException(409, void_words(whole.name))
