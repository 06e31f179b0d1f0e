"""The currencies there are, by their three letters, and amounts as a form writes them.

Source: ISO 4217, active codes, as carried by the Debian package iso-codes 4.15. Left out are metals, funds, units of
account and test codes, in which no fruit is sold, and four codes withdrawn since (CUC, HRK, SLL, ZWL; from memory).
"""

from fractions import Fraction

from shedgrade.domain.units import digits, minor_digits

_CODES = """
    AED AFN ALL AMD ANG AOA ARS AUD AWG AZN BAM BBD BDT BGN BHD BIF BMD BND BOB BRL BSD BTN BWP BYN BZD CAD CDF CHF
    CLP CNY COP CRC CUP CVE CZK DJF DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GNF GTQ GYD HKD HNL HTG
    HUF IDR ILS INR IQD IRR ISK JMD JOD JPY KES KGS KHR KMF KPW KRW KWD KYD KZT LAK LBP LKR LRD LSL LYD MAD MDL MGA
    MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO NOK NPR NZD OMR PAB PEN PGK PHP PKR PLN PYG QAR RON RSD
    RUB RWF SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TND TOP TRY TTD TWD TZS UAH UGX
    USD UYU UZS VED VES VND VUV WST XAF XCD XOF XPF YER ZAR ZMW
"""
CODES = frozenset(_CODES.split())


def currency(text: str) -> str:
    """The code typed, in capitals; ValueError, whose text is a sentence, if no such currency is in use."""
    code = text.strip().upper()
    if code not in CODES:
        raise ValueError(f"{code[:12]} is not a currency code; three letters such as AUD or EUR are accepted.")
    return code


def typed_amount(amount_minor: int, code: str) -> str:
    """An amount as a person would type it, without its currency: 2150 in AUD gives "21.50"."""
    places = minor_digits(code)
    return ("-" if amount_minor < 0 else "") + _plain(abs(amount_minor), places)


def _plain(amount_minor: int, places: int) -> str:
    return "".join(sign for sign in digits(Fraction(amount_minor, 10**places), places) if sign in "0123456789.")
