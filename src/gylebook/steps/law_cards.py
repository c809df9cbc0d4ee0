"""What the book knows of the law of home brewing, country by country, each line with its sources and its month."""

from __future__ import annotations

from collections.abc import Mapping

from gylebook.phrases import say
from gylebook.steps.law_lines import (
    CHILDREN,
    EU_HANDED_ON,
    EU_SOLD,
    FREEZING,
    GIFT,
    NO_SPIRITS,
    NOT_SOLD,
    RECALLED,
    Allowed,
    LawCard,
    Line,
)

UK = LawCard(
    "UK",
    say("HM Revenue & Customs (HMRC), and for selling the licensing officer of your council"),
    (
        Line(
            "making",
            say(
                "Whoever produces alcoholic products needs approval, unless they are exempt. As the minister told it, "
                "those are exempt who make them for their own consumption, spirits left out. The Act before said "
                "“solely for his own domestic use”. Ask which of the two is in force on the day."
            ),
            ("uk_finance_2_2023", "uk_commons_2023", "uk_finance_1991"),
        ),
        Line(
            "amount",
            say(
                "Neither text, as far as it was read, names a limit in litres. Pages that print one contradict it and "
                "each other; the book prints none."
            ),
            ("uk_finance_2_2023", "uk_commons_2023", "uk_finance_1991"),
        ),
        Line("notice", say("The book knows of none for those who are exempt.")),
        Line(
            "selling",
            say("Not without approval and duty; the laws of licences and of food businesses come on top."),
            ("uk_finance_2_2023", *RECALLED),
        ),
        Line(
            "giving",
            say(
                "Whether a gift is still “own consumption” is disputed, and what was read does not say. Take nothing "
                "for it, and ask before bottles leave the house in numbers."
            ),
            ("uk_commons_2023", "common_practice"),
        ),
        Line(
            "event",
            say(
                "Ask HMRC and whoever holds the event first. Beer at a stall, at a bar or within the price of a ticket "
                "is sold."
            ),
        ),
        Line(
            "distilling",
            say(
                "Spirits are left out of the exemption: not without approval and a licence. {freezing}",
                freezing=FREEZING,
            ),
            ("uk_commons_2023", *RECALLED),
        ),
        Line("age", say("Nobody under 18 may buy alcohol. {children}", children=CHILDREN)),
        GIFT,
        EU_SOLD,
        Line(
            "label",
            say("For duty the strength is that at 20 °C, rounded down to one decimal."),
            ("uk_alcohol_guide",),
        ),
    ),
)

EU = LawCard(
    "EU",
    say("the customs or tax office of your country"),
    (
        Line(
            "making",
            say(
                "European law lets a country leave beer untaxed that a private person makes and that they, their "
                "family or their guests drink, provided that none is sold. Whether and how far a country does so is "
                "its own law."
            ),
            ("eu_92_83",),
        ),
        Line("amount", say("Each country sets its own limit, or none. Ask before you count on either.")),
        Line("notice", say("Some countries want to be told before the first brew. Ask.")),
        *EU_HANDED_ON,
        NO_SPIRITS,
        Line("age", say("Each country has its own ages, most of them 16 or 18. {children}", children=CHILDREN)),
        GIFT,
        EU_SOLD,
    ),
)

GERMANY = LawCard(
    "Germany",
    say("the main customs office (Hauptzollamt) of your district"),
    (
        Line(
            "making",
            say(
                "Beer that is brewed in the own household for the own consumption and is not sold is left untaxed, up "
                "to the amount below."
            ),
            ("de_bierstv_41", "eu_92_83"),
        ),
        Line(
            "amount",
            say(
                "5 hL in a calendar year, which are 500 L, as the regulation is quoted since 1 January 2025. Until "
                "then it was 2 hL, and most pages still say so. The regulation's own text was not read: check with the "
                "Hauptzollamt."
            ),
            ("de_bierstv_41",),
        ),
        Line(
            "notice",
            say(
                "Since 1 January 2025 none beforehand, as the regulation is quoted; until then the Hauptzollamt had to "
                "be told before the first brew. What holds above the amount was not read: check with the Hauptzollamt."
            ),
            ("de_bierstv_41",),
        ),
        Line("selling", NOT_SOLD, ("de_bierstv_41", *RECALLED)),
        Line(
            "giving",
            say(
                "The regulation speaks of your own consumption, European law of family and guests too. Whether a "
                "bottle that leaves the house is still covered was not read: ask the Hauptzollamt."
            ),
            ("de_bierstv_41", "eu_92_83"),
        ),
        Line("event", say("Ask the Hauptzollamt and whoever holds the event; nothing may be taken for it.")),
        NO_SPIRITS,
        Line(
            "age",
            say("Beer may be bought from 16, and at 14 drunk beside a parent. {children}", children=CHILDREN),
        ),
        GIFT,
        EU_SOLD,
    ),
    (Allowed("allowed", say("Allowed in a calendar year"), 500.0, "5 hL", ("de_bierstv_41",)),),
)

IRELAND = LawCard(
    "Ireland",
    say("the Revenue Commissioners"),
    (
        Line(
            "making",
            say(
                "Beer that a private person makes for themselves, their family or their guests and does not sell is "
                "relieved of the tax, as the law is recalled; European law allows that."
            ),
            ("eu_92_83", *RECALLED),
        ),
        Line("amount", say("The book knows of no limit in litres. Ask before you count on that.")),
        Line("notice", say("The book knows of none.")),
        *EU_HANDED_ON,
        NO_SPIRITS,
        Line("age", say("Nobody under 18 may buy alcohol. {children}", children=CHILDREN)),
        GIFT,
        EU_SOLD,
    ),
)

US = LawCard(
    "US",
    say("the federal Alcohol and Tobacco Tax and Trade Bureau (TTB), and the alcohol authority of your state"),
    (
        Line(
            "making",
            say(
                "Federal law lets an adult brew beer untaxed for personal or family use, not for sale. State law may "
                "be stricter."
            ),
            ("us_27_cfr_25_205",),
        ),
        Line(
            "amount",
            say(
                "In a calendar year 100 US gallons for a household with one adult, which are 379 L, and 200 US gallons "
                "for one with two adults or more, which are 757 L. State law may allow less."
            ),
            ("us_27_cfr_25_205",),
        ),
        Line("notice", say("The book knows of none in federal law; ask your state.")),
        Line("selling", say("None of it may be sold."), ("us_27_cfr_25_205",)),
        Line(
            "giving",
            say("It may be taken out of the house for personal or family use. It may not be sold."),
            ("us_27_cfr_25_205",),
        ),
        Line(
            "event",
            say(
                "It may be taken to organised affairs, exhibitions and competitions; it may not be sold there. State "
                "law may be stricter: ask."
            ),
            ("us_27_cfr_25_205",),
        ),
        Line(
            "distilling",
            say(
                "Federal law forbids it at home, whatever the amount and even for yourself. {freezing}",
                freezing=FREEZING,
            ),
        ),
        Line(
            "age",
            say("An adult is 18 or older, and as old as beer may be sold to where you live if that is more."),
            ("us_27_cfr_25_205",),
        ),
        Line("age", say("In every state that age is 21. {children}", children=CHILDREN)),
        GIFT,
        Line(
            "label",
            say("For sale the strength may be off by 0.3 % alcohol by volume; naming allergens is left to the brewer."),
            ("us_27_cfr", "us_beer_allergens_2018"),
        ),
    ),
    (
        Allowed("allowed_one", say("Allowed with one adult"), 378.5411784, "100 US gal", ("us_27_cfr_25_205",)),
        Allowed(
            "allowed_two", say("Allowed with two adults or more"), 757.0823568, "200 US gal", ("us_27_cfr_25_205",)
        ),
    ),
)

CANADA = LawCard(
    "Canada",
    say("the Canada Revenue Agency, and the liquor authority of your province or territory"),
    (
        Line(
            "making",
            say(
                "Federal law leaves beer unlicensed and untaxed that is brewed for the own or the family's use and not "
                "for sale. The law of your province comes on top."
            ),
        ),
        Line("amount", say("The book knows of no federal limit in litres; a province may have one. Ask.")),
        Line("notice", say("The book knows of none.")),
        Line("selling", NOT_SOLD),
        Line("giving", say("Provinces differ. Ask the liquor authority before bottles leave the house.")),
        Line("event", say("Provinces differ; most want a permit for the event. Ask the liquor authority.")),
        NO_SPIRITS,
        Line("age", say("18 or 19, by province. {children}", children=CHILDREN)),
        GIFT,
        Line(
            "label",
            say("For sale, beer need not name allergens unless it lists its ingredients; the page read is an old one."),
            ("ca_alcohol_allergens",),
        ),
    ),
)

AUSTRALIA = LawCard(
    "Australia",
    say("the Australian Taxation Office, and for selling the liquor authority of your state or territory"),
    (
        Line(
            "making",
            say(
                "Beer that is brewed with your own gear for your own use, and not for sale, needs no licence and pays "
                "no excise."
            ),
        ),
        Line("amount", say("The book knows of no limit in litres. Ask before you count on that.")),
        Line("notice", say("The book knows of none.")),
        Line("selling", NOT_SOLD),
        Line("giving", say("The rule speaks of use that is not commercial. Take nothing for it, and ask.")),
        Line("event", say("Ask the liquor authority and whoever holds the event; nothing may be taken for it.")),
        NO_SPIRITS,
        Line("age", say("Nobody under 18 may buy alcohol. {children}", children=CHILDREN)),
        GIFT,
    ),
)

NEW_ZEALAND = LawCard(
    "New Zealand",
    say("the New Zealand Customs Service, and for selling your district licensing committee"),
    (
        Line(
            "making",
            say("Whoever is 18 or older may make beer for their own use, not for sale, without a licence or excise."),
        ),
        Line("amount", say("The book knows of no limit in litres. Ask before you count on that.")),
        Line("notice", say("The book knows of none.")),
        Line("selling", NOT_SOLD),
        Line("giving", say("The rule speaks of your own use. Take nothing for it, and ask.")),
        Line("event", say("Ask the licensing committee and whoever holds the event; nothing may be taken for it.")),
        Line(
            "distilling",
            say(
                "The law is recalled to allow it for one's own use: check with the authority. This book does not cover "
                "it: it burns, and it gathers what boils first."
            ),
        ),
        Line("age", say("18 to make it and 18 to buy it. {children}", children=CHILDREN)),
        GIFT,
    ),
)

ELSEWHERE = LawCard(
    "other",
    say("the tax or customs office of the place, and its licensing authority"),
    (
        Line("making", say("In most places beer may be brewed for the own household; in some it may not at all. Ask.")),
        Line("amount", say("Where there is a limit, it is most often one of litres in a calendar year. Ask.")),
        Line("selling", NOT_SOLD),
        Line("giving", say("Ask before bottles leave the house, and take nothing for them.")),
        NO_SPIRITS,
        Line("age", CHILDREN),
        GIFT,
    ),
)

CARDS: Mapping[str, LawCard] = {
    card.country: card for card in (UK, IRELAND, GERMANY, EU, US, CANADA, AUSTRALIA, NEW_ZEALAND, ELSEWHERE)
}
