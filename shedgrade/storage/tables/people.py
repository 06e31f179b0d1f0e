"""People, the roles they have, and how they prove who they are."""

from sqlalchemy import CheckConstraint
from sqlmodel import Field, SQLModel

from shedgrade.domain.people import Role
from shedgrade.storage.tables.columns import to

_ROLES = ", ".join(f"'{role.value}'" for role in Role)


class PersonRow(SQLModel, table=True):
    """Somebody who uses the shed's records; a grower's person names the grower. Password and PIN are kept hashed, ""
    where there is none; somebody who has left is no longer ``active`` and stays in the books."""

    __tablename__ = "person"
    __table_args__ = (CheckConstraint("length(name) > 0", "named"),)

    id: int | None = Field(default=None, primary_key=True)
    name: str = Field(unique=True)
    grower_id: int | None = to("grower.id", default=None)
    password_hash: str = ""
    pin_hash: str = ""
    active: bool = True
    version: int = 1


class PersonRole(SQLModel, table=True):
    """One role of one person."""

    __tablename__ = "person_role"
    __table_args__ = (CheckConstraint(f"role IN ({_ROLES})", "known_role"),)

    person_id: int = Field(foreign_key="person.id", primary_key=True, ondelete="CASCADE")
    role: str = Field(primary_key=True)
