"""The shop: jobs, people, sheets and files, and the one door to them."""

from coldsoak.shop.blobs import Blob
from coldsoak.shop.entry import Entry, Noted
from coldsoak.shop.job_list import JobLine, JobPage
from coldsoak.shop.jobs import Draft
from coldsoak.shop.people import Person
from coldsoak.shop.sessions import Login, Policy
from coldsoak.shop.store import Shop, open_shop
from coldsoak.shop.summary import Summary

__all__ = [
    "Blob",
    "Draft",
    "Entry",
    "JobLine",
    "JobPage",
    "Login",
    "Noted",
    "Person",
    "Policy",
    "Shop",
    "Summary",
    "open_shop",
]
