"""The tables: the journal, which is only ever added to, and the cards, which can be thrown away and made anew.

Times are text, always UTC with microseconds and a closing Z: they sort as they read, and come back to the byte the
same from either engine. Bodies are text for the same reason; nothing in the database looks inside them.
"""

from __future__ import annotations

from django.db import models


class JournalEntry(models.Model):
    """One entry, kept for ever. Triggers refuse every change of a row."""

    pk = models.CompositePrimaryKey("brew", "seq")  # a second writer with a stale view collides here
    brew = models.CharField(max_length=20)
    seq = models.PositiveIntegerField()
    kind = models.CharField(max_length=40)
    version = models.PositiveSmallIntegerField()
    happened_at = models.CharField(max_length=27)
    recorded_at = models.CharField(max_length=27)
    recorded_by = models.CharField(max_length=150)
    source = models.CharField(max_length=20)
    command_id = models.CharField(max_length=120)
    body = models.TextField()

    class Meta:
        db_table = "journal_entry"
        constraints = (
            # A message that is sent again, by a phone or a device, collides here.
            models.UniqueConstraint(fields=["command_id"], name="journal_entry_command_id"),
            models.CheckConstraint(condition=models.Q(seq__gte=1), name="journal_entry_seq_from_1"),
        )
        # The list of brews, and the next free number, without a walk through the whole journal.
        indexes = (models.Index(fields=["brew"], condition=models.Q(seq=1), name="journal_entry_first"),)

    def __str__(self) -> str:
        return f"{self.brew}/{self.seq} {self.kind}"


class BrewCard(models.Model):
    """What lists need to know of a brew without reading its entries. Derived; never asked what happened."""

    brew = models.CharField(max_length=20, primary_key=True)
    number = models.PositiveIntegerField()
    head_seq = models.PositiveIntegerField()  # the entry up to which this card was made
    shelf_seq = models.PositiveIntegerField()  # the state of the shelf with which it was made
    cards_version = models.CharField(max_length=80)  # the reckoning with which it was made; "" where not made yet
    state_hash = models.CharField(max_length=64)  # of the folded brew, as seen when it was written
    fold = models.CharField(max_length=16)  # the print of the code that folded it
    open = models.BooleanField()
    stage = models.CharField(max_length=20)
    name = models.CharField(max_length=300)
    next_due = models.CharField(max_length=27, null=True)
    card = models.TextField()
    learned = models.CharField(max_length=16, default="")  # the print of the lessons with which it was made
    lesson = models.TextField(default="")  # what a finished brew teaches, "" for nothing
    lesson_of = models.CharField(max_length=120, default="")  # what that was made from; "" where not made yet

    class Meta:
        db_table = "brew_card"
        indexes = (
            models.Index(fields=["number"], name="brew_card_number"),
            models.Index(fields=["open", "next_due"], name="brew_card_due"),
            models.Index(fields=["number"], condition=models.Q(stage="closed"), name="brew_card_finished"),
        )

    def __str__(self) -> str:
        return f"{self.brew} {self.name}"


class SignInTry(models.Model):
    """A password that was tried, so that guessing can be stopped; rows go after a day."""

    name = models.CharField(max_length=150)
    at = models.DateTimeField()

    class Meta:
        db_table = "sign_in_try"
        indexes = (models.Index(fields=["name", "at"], name="sign_in_try_name_at"),)

    def __str__(self) -> str:
        return f"{self.name} at {self.at}"


class CalendarFeed(models.Model):
    """The secret address at which one person's calendar reads what is due; only its hash is kept."""

    name = models.CharField(max_length=150, primary_key=True)
    secret_hash = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()

    class Meta:
        db_table = "calendar_feed"

    def __str__(self) -> str:
        return f"{self.name} since {self.made_at}"


class Device(models.Model):
    """A browser in which somebody is signed in: without its row, its next request finds it signed out."""

    person = models.CharField(max_length=150)
    name = models.CharField(max_length=80)
    way = models.CharField(max_length=20)  # how it came in: password, passkey, pairing, invitation, before
    made_at = models.DateTimeField()
    seen_at = models.DateTimeField()
    ends_at = models.DateTimeField()  # when it is signed out by itself, unless it is used before

    class Meta:
        db_table = "device"
        indexes = (models.Index(fields=["person", "ends_at"], name="device_person_ends"),)

    def __str__(self) -> str:
        return f"{self.name} of {self.person}"


class OneTimeCode(models.Model):
    """A code that lets one browser in once: as a device of a person, or as a new person. Only its hash is kept."""

    code_hash = models.CharField(max_length=64, primary_key=True)
    kind = models.CharField(max_length=20)  # pairing or invitation
    person = models.CharField(max_length=150)  # whose device it makes, or who invites
    made_at = models.DateTimeField()
    ends_at = models.DateTimeField()

    class Meta:
        db_table = "one_time_code"

    def __str__(self) -> str:
        return f"{self.kind} by {self.person} until {self.ends_at}"


class Passkey(models.Model):
    """The public half of a passkey; the private one never leaves the person's own device."""

    credential = models.CharField(max_length=400, unique=True)  # its id, base64url
    person = models.CharField(max_length=150)
    name = models.CharField(max_length=80)
    host = models.CharField(max_length=253)  # the name under which it was made; browsers offer it nowhere else
    public_key = models.TextField()  # what the authenticator attested: id and key, base64url
    uses = models.BigIntegerField()  # the authenticator's own count of signatures; 0 where it keeps none
    made_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True)

    class Meta:
        db_table = "passkey"
        indexes = (models.Index(fields=["person"], name="passkey_person"),)

    def __str__(self) -> str:
        return f"{self.name} of {self.person}"


class ApiToken(models.Model):
    """What lets a program in, in the name of a person; only its hash is kept."""

    name = models.CharField(max_length=80)
    person = models.CharField(max_length=150)
    scopes = models.CharField(max_length=40)  # words: read, write
    secret_hash = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True)

    class Meta:
        db_table = "api_token"
        constraints = (models.UniqueConstraint(fields=["person", "name"], name="api_token_person_name"),)

    def __str__(self) -> str:
        return f"{self.name} of {self.person}"


class SentPrint(models.Model):
    """The print of a message that a phone or a program sent, by its id: tells a repetition from another content."""

    command_id = models.CharField(max_length=120, primary_key=True)
    content = models.CharField(max_length=64)

    class Meta:
        db_table = "sent_print"

    def __str__(self) -> str:
        return self.command_id


class BookMark(models.Model):
    """One row: the id of this database, made once."""

    id = models.PositiveSmallIntegerField(primary_key=True)
    mark = models.CharField(max_length=32)

    class Meta:
        db_table = "book_mark"

    def __str__(self) -> str:
        return self.mark


class CalendarThing(models.Model):
    """A thing that a calendar was given, so that it can be told when it is gone; rows go some weeks after that."""

    uid = models.CharField(max_length=36, primary_key=True)
    brew = models.CharField(max_length=20)
    title = models.CharField(max_length=700)
    start = models.DateTimeField()
    end = models.DateTimeField()
    sequence = models.PositiveIntegerField()
    changed_at = models.DateTimeField()
    gone = models.BooleanField()

    class Meta:
        db_table = "calendar_thing"

    def __str__(self) -> str:
        return f"{self.title} at {self.start}"


class NoticeAddress(models.Model):
    """An address to which notices are posted. Its secret is made from the book's key and `salt`, and not kept."""

    url = models.CharField(max_length=1000, unique=True)
    person = models.CharField(max_length=150)  # who gave it
    salt = models.CharField(max_length=64)
    base = models.CharField(max_length=300)  # the book's address as others reach it, for links; "" for none
    made_at = models.DateTimeField()
    sent_at = models.DateTimeField(null=True)  # when it took something last
    fault = models.CharField(max_length=300)  # why it did not, the last time that it did not; "" for never
    fault_at = models.DateTimeField(null=True)

    class Meta:
        db_table = "notice_address"

    def __str__(self) -> str:
        return f"address {self.pk} of {self.person}"  # not where it leads: an address may hold a secret


class Notice(models.Model):
    """That one address is told of one decision, at one urgency: at most once, however often the book looks."""

    id = models.CharField(max_length=36, primary_key=True)  # the same for the same address, decision and urgency
    address = models.ForeignKey(NoticeAddress, on_delete=models.CASCADE)
    decision = models.CharField(max_length=36)
    urgency = models.CharField(max_length=10)
    brew = models.CharField(max_length=20)
    title = models.CharField(max_length=700)
    made_at = models.DateTimeField()
    tries = models.PositiveSmallIntegerField()
    next_try_at = models.DateTimeField(null=True)  # none once it was taken or given up
    sent_at = models.DateTimeField(null=True)

    class Meta:
        db_table = "notice"
        constraints = (models.UniqueConstraint(fields=["address", "decision", "urgency"], name="notice_once"),)
        indexes = (models.Index(fields=["next_try_at"], name="notice_next_try"),)

    def __str__(self) -> str:
        return f"{self.title} ({self.urgency})"
