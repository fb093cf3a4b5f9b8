"""The account someone signs in with. Who a person is on a site lies in roles and people."""

from typing import Any, ClassVar

from django.contrib.auth.models import AbstractBaseUser, BaseUserManager, PermissionsMixin
from django.db import models
from django.db.models.functions import Lower

from orchard.domain.units import System


class UserManager(BaseUserManager["User"]):
    """Creates accounts; an address is the whole account name."""

    def create_user(self, email: str, password: str | None = None, **extra: Any) -> "User":
        """Return a new account; without a password it signs in by mailed code only."""
        user = self.model(email=self.normalize_email(email).lower(), **extra)
        user.set_password(password)
        user.save(using=self._db)
        return user

    def create_superuser(self, email: str, password: str | None = None, **extra: Any) -> "User":
        """Return a new account that may use the admin pages."""
        return self.create_user(email, password, is_staff=True, is_superuser=True, **extra)


class User(AbstractBaseUser, PermissionsMixin):
    """An account, known by its e-mail address."""

    email = models.EmailField(unique=True)
    is_active = models.BooleanField(default=True)
    is_staff = models.BooleanField(default=False)
    date_joined = models.DateTimeField(auto_now_add=True)
    # Empty: as the site has it.
    units = models.CharField(max_length=8, choices=[(s.value, s.value) for s in System], blank=True)

    objects: ClassVar[UserManager] = UserManager()

    USERNAME_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = []

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(Lower("email"), name="user_email_once_whatever_case"),
        ]

    def has_usable_password(self) -> bool:
        """Say no: no page takes a password, so none may be asked for as a proof."""
        return False

    def __str__(self) -> str:
        return self.email
