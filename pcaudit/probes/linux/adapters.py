"""Questions to the kernel about network adapters that no file answers."""

from __future__ import annotations

from typing import Final

from pcaudit.probes.decode import ethtool, rtnetlink

_SIOCETHTOOL: Final = 0x8946  # linux/sockios.h
_GLINKSETTINGS: Final = 0x4C  # ETHTOOL_GLINKSETTINGS, linux/ethtool.h
_GETADDR: Final = 22  # RTM_GETADDR, linux/rtnetlink.h
_DUMP: Final = 0x301  # NLM_F_REQUEST | NLM_F_ROOT | NLM_F_MATCH, linux/netlink.h
_MOST_WORDS: Final = 127
_DATAGRAM: Final = 1 << 16


def link_settings(name: str) -> bytes:
    """The kernel's answer to ETHTOOL_GLINKSETTINGS for one adapter.

    Raises:
        OSError: The adapter or its driver has no answer.
    """
    import array
    import fcntl
    import socket
    import struct

    buffer = array.array("B", bytes(ethtool.HEADER + 3 * 4 * _MOST_WORDS))
    request = struct.pack("16sP16x", name.encode(), buffer.buffer_info()[0])
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM | socket.SOCK_CLOEXEC) as question:
        struct.pack_into("=I", buffer, 0, _GLINKSETTINGS)
        fcntl.ioctl(question, _SIOCETHTOOL, request)
        # The first answer is only how many words the masks have, as a negative number.
        words = -struct.unpack_from("b", buffer, ethtool.WORDS_AT)[0]
        if not 0 < words <= _MOST_WORDS:
            raise OSError(f"{name}: the kernel gives no size of its link modes")
        struct.pack_into("=I", buffer, 0, _GLINKSETTINGS)
        struct.pack_into("b", buffer, ethtool.WORDS_AT, words)
        fcntl.ioctl(question, _SIOCETHTOOL, request)
    return buffer.tobytes()


def addresses() -> list[rtnetlink.Address]:
    """Every address of every adapter.

    Raises:
        OSError: The kernel gives no answer.
    """
    import socket
    import struct

    with socket.socket(socket.AF_NETLINK, socket.SOCK_RAW | socket.SOCK_CLOEXEC, 0) as question:
        question.settimeout(1.0)
        # struct nlmsghdr and struct ifaddrmsg: length, type, flags, sequence, port; all families.
        question.send(struct.pack("=IHHII8x", 24, _GETADDR, _DUMP, 1, 0))
        datagrams = []
        while True:
            datagram = question.recv(_DATAGRAM)
            datagrams.append(datagram)
            if not datagram or any(kind in (2, rtnetlink.DONE) for kind, _ in rtnetlink.messages(datagram)):
                return rtnetlink.addresses(datagrams)
