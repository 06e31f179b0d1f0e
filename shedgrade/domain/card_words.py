"""What stands on a packing card in a second language, and how fruit lie in the tray.

The translations are our own, from memory, to be confirmed by somebody who speaks the language; the card says so. Class
words are those of the standards in that language as far as we remember them. What is not in the table stays English.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from shedgrade.domain.source import Mark


@dataclass(frozen=True, slots=True)
class Language:
    """A second language of packing cards: its name in English, its tag (BCP 47), and its words by the English ones."""

    name: str
    tag: str
    words: Mapping[str, str]

    def says(self, english: str) -> str:
        """The words in this language; "" where they are missing, and the English stands alone."""
        return self.words.get(english, "")


@dataclass(frozen=True, slots=True)
class Laying:
    """How fruit of a crop lie in the tray, the caution that belongs to it, and how well that is known."""

    how: str
    caution: str
    mark: Mark


CARD, TRAY, LABEL, COUNT = "Packing card", "Tray", "Label", "Count"
FROM, UNDER, SIZE, NEVER = "from", "to under", "Size", "Never in the tray"
LYING = "How fruit lie in the tray"
TOGETHER = "All such marks of one fruit together are at most as large as the circle."
LARGEST = "The largest such mark of a fruit is at most as large as the circle."
_STEM_UP = "Stem end up, so that sap cannot run onto the skin."
_SAP = "Sap burns skin and eyes: cover your arms, rinse it off at once, and follow the safety rules of your shed."

LAYING: Mapping[str, Laying] = {"mango": Laying(_STEM_UP, _SAP, Mark.COMMON_PRACTICE)}
"""By crop; a crop that is not here has no such rule."""

_SPANISH = {
    CARD: "Tarjeta de empaque",
    TRAY: "Bandeja",
    LABEL: "Etiqueta",
    COUNT: "Frutos por bandeja",
    FROM: "desde",
    UNDER: "hasta menos de",
    SIZE: "Tamaño",
    NEVER: "Nunca en la bandeja",
    LYING: "Cómo se coloca la fruta en la bandeja",
    LARGEST: "La mayor de esas marcas de un fruto es, como máximo, tan grande como el círculo.",
    TOGETHER: "Todas esas marcas de un fruto juntas son, como máximo, tan grandes como el círculo.",
    _STEM_UP: "El pedúnculo hacia arriba, para que la savia no corra sobre la piel.",
    _SAP: "La savia quema la piel y los ojos: cúbrase los brazos, enjuáguela enseguida y siga las normas de seguridad.",
    "Extra Class": "Categoría Extra",
    "Class I": "Categoría I",
    "Class II": "Categoría II",
    "Class III": "Categoría III",
    "none allowed": "no se admite",
    "skin marks": "marcas de la piel",
    "rot": "podredumbre",
    "unhealed wounds": "heridas sin cicatrizar",
    "marked bruises": "magulladuras marcadas",
    "cold damage": "daños por frío",
    "black necrotic stains": "manchas negras necróticas",
    "pest damage": "daños de plagas",
    "shape": "forma",
    "colour": "color",
    "stalk length": "largo del pedúnculo",
    "small": "pequeño",
    "medium": "mediano",
    "large": "grande",
}
_FRENCH = {
    CARD: "Fiche d’emballage",
    TRAY: "Plateau",
    LABEL: "Étiquette",
    COUNT: "Fruits par plateau",
    FROM: "à partir de",
    UNDER: "moins de",
    SIZE: "Calibre",
    NEVER: "Jamais dans le plateau",
    LYING: "Comment poser les fruits dans le plateau",
    LARGEST: "La plus grande de ces marques d’un fruit est au plus aussi grande que le cercle.",
    TOGETHER: "Toutes ces marques d’un fruit ensemble sont au plus aussi grandes que le cercle.",
    _STEM_UP: "Le pédoncule vers le haut, pour que la sève ne coule pas sur la peau.",
    _SAP: "La sève brûle la peau et les yeux : couvrez vos bras, rincez aussitôt et suivez les règles de sécurité.",
    "Extra Class": "Catégorie Extra",
    "Class I": "Catégorie I",
    "Class II": "Catégorie II",
    "Class III": "Catégorie III",
    "none allowed": "non admis",
    "skin marks": "marques de la peau",
    "rot": "pourriture",
    "unhealed wounds": "blessures non cicatrisées",
    "marked bruises": "meurtrissures prononcées",
    "cold damage": "dégâts dus au froid",
    "black necrotic stains": "taches noires nécrotiques",
    "pest damage": "dégâts de ravageurs",
    "shape": "forme",
    "colour": "couleur",
    "stalk length": "longueur du pédoncule",
    "small": "petit",
    "medium": "moyen",
    "large": "grand",
}
LANGUAGES: Mapping[str, Language] = {
    "French": Language("French", "fr", _FRENCH),
    "Spanish": Language("Spanish", "es", _SPANISH),
}
"""By the words of the setting."""
