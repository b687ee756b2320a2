"""Who comes in: account, password, name of the connection, what its will may say, and how many there are already."""

from __future__ import annotations

import asyncio
import hashlib
import secrets
from collections.abc import Mapping

from tui.hub import rules
from tui.hub.accounts import Account, fits, hashed
from tui.hub.guest import Guest, Standing, Teller, shown
from tui.hub.limits import Limits
from tui.hub.wire import Code, Connect

_AFTER_WRONG_S = 1.0


class Door:
    """Lets in who has an account, or everybody where there is none.

    Parameters
    ----------
    accounts
        By name; none for everybody.
    limits
        Most connections of one account.
    gym
        Stands before all topics.
    tell
        Takes who was refused, and why.
    """

    def __init__(self, accounts: Mapping[str, Account], limits: Limits, gym: str, tell: Teller) -> None:
        self.accounts = dict(accounts)
        self._limits = limits
        self._gym = gym
        self._tell = tell
        self._standings: dict[str, Standing] = {}
        self._one_at_a_time = asyncio.Lock()
        self._known: dict[str, tuple[str, bytes]] = {}
        self._key = secrets.token_bytes(32)
        self._nobody = hashed(secrets.token_hex())
        self._began_open = not accounts

    async def admit(self, connect: Connect, address: str) -> Guest | Code:
        """Return who this is, or what they are told."""
        if self._began_open and not self.accounts:
            guest = Guest(
                address, "", connect.client, connect.keep_alive_s, rules.of_anybody(self._gym), Standing(self._limits)
            )
        else:
            account = await self._account(connect, address)
            if account is None:
                return Code.ACCOUNT_REFUSED if connect.account is not None else Code.NOT_AUTHORIZED
            standing = self._standings.setdefault(account.name, Standing(self._limits))
            guest = Guest(
                account.name, account.name, connect.client, connect.keep_alive_s, self._rights(account), standing
            )
        return self._refused(guest, connect) or guest

    def _refused(self, guest: Guest, connect: Connect) -> Code | None:
        if guest.standing.connections >= self._limits.of_one:
            self._tell(guest.called, "many", f"{guest.called} has too many connections: one more was refused.")
            return Code.UNAVAILABLE
        will = connect.will
        if will is None:
            return None
        if not guest.rights.may_write(will.topic):
            self._tell(guest.called, "will", f"{guest.called} may not have a will for {shown(will.topic)}.")
            return Code.NOT_AUTHORIZED
        if will.retain and not guest.standing.may_keep(will.topic, len(will.payload)):
            self._tell(guest.called, "will", f"{guest.called} has too many topics to keep, and so may not have a will.")
            return Code.NOT_AUTHORIZED
        return None

    async def _account(self, connect: Connect, address: str) -> Account | None:
        if connect.account is None:
            self._tell(address, "nobody", f"Somebody at {address} has no account here.")
            return None
        account = self.accounts.get(connect.account)
        if await self._is_right(account, connect.password or b"") and account is not None:
            return account
        self._tell(address, "password", f"Account or password is wrong: {shown(connect.account)} at {address}.")
        await asyncio.sleep(_AFTER_WRONG_S)
        return None

    async def _is_right(self, account: Account | None, password: bytes) -> bool:
        """Return whether it is the password; an account that is not there takes as long as one that is."""
        kept = account.kept if account else self._nobody
        seen = hashlib.blake2b(password, key=self._key).digest()
        if account and secrets.compare_digest(seen, self._known.get(account.name, ("", b""))[1]):
            return self._known[account.name][0] == kept
        # Guessing takes one thread at most from the others.
        async with self._one_at_a_time:
            right = await asyncio.to_thread(fits, kept, password)
        if right and account:
            self._known[account.name] = (kept, seen)
        return right

    def _rights(self, account: Account) -> rules.Rights:
        return rules.of_account(account.name, coach=account.coach, gateways=account.gateways, gym=self._gym)
