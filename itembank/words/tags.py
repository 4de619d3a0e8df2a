"""Language tags (BCP 47): whether one names a language there is, the nearest that does, and for which we have words.

Languages of three letters are taken as they are: there are thousands. Everything else is looked up.
"""

from __future__ import annotations

import re
from typing import Final, NamedTuple

from itembank.words import LANGUAGES, base_language

__all__ = ["Unknown", "has_words", "in_words", "unknown"]


def _listed(text: str) -> list[str]:
    return text.split()


_LANGUAGES: Final = frozenset(
    _listed("""
    aa ab ae af ak am an ar as av ay az ba be bg bh bi bm bn bo br bs ca ce ch co cr cs cu cv cy da de dv dz ee el
    en eo es et eu fa ff fi fj fo fr fy ga gd gl gn gu gv ha he hi ho hr ht hu hy hz ia id ie ig ii ik io is it iu
    ja jv ka kg ki kj kk kl km kn ko kr ks ku kv kw ky la lb lg li ln lo lt lu lv mg mh mi mk ml mn mr ms mt my na
    nb nd ne ng nl nn no nr nv ny oc oj om or os pa pi pl ps pt qu rm rn ro ru rw sa sc sd se sg si sk sl sm sn so
    sq sr ss st su sv sw ta te tg th ti tk tl tn to tr ts tt tw ty ug uk ur uz ve vi vo wa wo xh yi yo za zh zu
    """)
)
"""Source: ISO 639-1."""
_IN_TWO_LETTERS: Final = dict(
    pair.split(":")
    for pair in _listed("""
    aar:aa abk:ab afr:af aka:ak alb:sq amh:am ara:ar arg:an arm:hy asm:as ava:av ave:ae aym:ay aze:az bak:ba bam:bm
    baq:eu bel:be ben:bn bih:bh bis:bi bod:bo bos:bs bre:br bul:bg bur:my cat:ca ces:cs cha:ch che:ce chi:zh chu:cu
    chv:cv cor:kw cos:co cre:cr cym:cy cze:cs dan:da deu:de div:dv dut:nl dzo:dz ell:el eng:en epo:eo est:et eus:eu
    ewe:ee fao:fo fas:fa fij:fj fin:fi fra:fr fre:fr fry:fy ful:ff geo:ka ger:de gla:gd gle:ga glg:gl glv:gv gre:el
    grn:gn guj:gu hat:ht hau:ha heb:he her:hz hin:hi hmo:ho hrv:hr hun:hu hye:hy ibo:ig ice:is ido:io iii:ii iku:iu
    ile:ie ina:ia ind:id ipk:ik isl:is ita:it jav:jv jpn:ja kal:kl kan:kn kas:ks kat:ka kau:kr kaz:kk khm:km kik:ki
    kin:rw kir:ky kom:kv kon:kg kor:ko kua:kj kur:ku lao:lo lat:la lav:lv lim:li lin:ln lit:lt ltz:lb lub:lu lug:lg
    mac:mk mah:mh mal:ml mao:mi mar:mr may:ms mkd:mk mlg:mg mlt:mt mon:mn mri:mi msa:ms mya:my nau:na nav:nv nbl:nr
    nde:nd ndo:ng nep:ne nld:nl nno:nn nob:nb nor:no nya:ny oci:oc oji:oj ori:or orm:om oss:os pan:pa per:fa pli:pi
    pol:pl por:pt pus:ps que:qu roh:rm ron:ro rum:ro run:rn rus:ru sag:sg san:sa sin:si slk:sk slo:sk slv:sl sme:se
    smo:sm sna:sn snd:sd som:so sot:st spa:es sqi:sq srd:sc srp:sr ssw:ss sun:su swa:sw swe:sv tah:ty tam:ta tat:tt
    tel:te tgk:tg tgl:tl tha:th tib:bo tir:ti ton:to tsn:tn tso:ts tuk:tk tur:tr twi:tw uig:ug ukr:uk urd:ur uzb:uz
    ven:ve vie:vi vol:vo wel:cy wln:wa wol:wo xho:xh yid:yi yor:yo zha:za zho:zh zul:zu
    """)
)
"""Three letters that BCP 47 writes as two, of the English and of the native name. Source: ISO 639-2."""
_REGIONS: Final = frozenset(
    _listed("""
    AD AE AF AG AI AL AM AO AQ AR AS AT AU AW AX AZ BA BB BD BE BF BG BH BI BJ BL BM BN BO BQ BR BS BT BV BW BY BZ
    CA CC CD CF CG CH CI CK CL CM CN CO CR CU CV CW CX CY CZ DE DJ DK DM DO DZ EC EE EG EH ER ES ET FI FJ FK FM FO
    FR GA GB GD GE GF GG GH GI GL GM GN GP GQ GR GS GT GU GW GY HK HM HN HR HT HU ID IE IL IM IN IO IQ IR IS IT JE
    JM JO JP KE KG KH KI KM KN KP KR KW KY KZ LA LB LC LI LK LR LS LT LU LV LY MA MC MD ME MF MG MH MK ML MM MN MO
    MP MQ MR MS MT MU MV MW MX MY MZ NA NC NE NF NG NI NL NO NP NR NU NZ OM PA PE PF PG PH PK PL PM PN PR PS PT PW
    PY QA RE RO RS RU RW SA SB SC SD SE SG SH SI SJ SK SL SM SN SO SR SS ST SV SX SY SZ TC TD TF TG TH TJ TK TL TM
    TN TO TR TT TV TW TZ UA UG UM US UY UZ VA VC VE VG VI VN VU WF WS YE YT ZA ZM ZW
    """)
)
"""Source: ISO 3166-1."""
_MEANT: Final = {
    "sp": "es",
    "jp": "ja",
    "cz": "cs",
    "dk": "da",
    "cn": "zh",
    "ge": "de",
    "uk": "gb",
    "sw": "se",
}
"""Countries and first letters that are taken for tags, and what is meant. Source: common practice, no source."""
_SUBTAG: Final = re.compile(r"[0-9]{3}|[a-z]{4}|[a-z0-9]{5,8}|[0-9][a-z0-9]{3}", re.IGNORECASE)
"""A region by number, a script, or a variant. Source: RFC 5646, section 2.1."""


class Unknown(NamedTuple):
    """What is wrong with a tag, and the tag that may be meant, "" for none."""

    reason: str
    meant: str


def unknown(tag: str) -> Unknown | None:
    """What is wrong with a well-formed tag; None where it names a language, and a region, that there are.

    >>> unknown("en-UK")
    Unknown(reason='`UK` is no region', meant='en-GB')
    >>> unknown("spa")
    Unknown(reason='`spa` is written with two letters', meant='es')
    >>> unknown("es-MX")
    """
    language, *further = tag.split("-")
    known = language.lower()
    if known in _IN_TWO_LETTERS:
        meant = "-".join((_IN_TWO_LETTERS[known], *further))
        return Unknown(f"`{language}` is written with two letters", meant)
    if len(known) == 2 and known not in _LANGUAGES:
        return Unknown(
            f"`{language}` is no language", "-".join((meant, *further)) if (meant := _meant(known)) else ""
        )
    for place, subtag in enumerate(further):
        if len(subtag) == 2 and subtag.upper() not in _REGIONS:
            region = _MEANT.get(subtag.lower(), "").upper()
            return Unknown(
                f"`{subtag}` is no region", f"{language}-{region}" if region in _REGIONS else language
            )
        is_further_language = place == 0 and len(subtag) == 3 and subtag.isalpha()
        if len(subtag) != 2 and not is_further_language and not _SUBTAG.fullmatch(subtag):
            return Unknown(f"`{subtag}` is neither a region nor a script", language)
    return None


def _meant(language: str) -> str:
    """The language that two letters may stand for, one of ours where its first letter tells."""
    ours = {base_language(each) for each in LANGUAGES}
    return _MEANT.get(language) or next((each for each in sorted(ours) if each[0] == language[0]), "")


def has_words(tag: str) -> bool:
    """Whether papers and packages have words of their own in the language of a tag.

    >>> has_words("es-CO"), has_words("la")
    (True, False)
    """
    return base_language(tag) in {base_language(each) for each in LANGUAGES}


def in_words() -> str:
    """The languages that have words, listed."""
    *others, last = dict.fromkeys(base_language(each) for each in LANGUAGES)
    return f"{', '.join(others)} and {last}"
