#!/usr/bin/env python3
"""Clients that vanish: each says something and is gone without a word to the other end.

usage: vanish.py PORT HOW_MANY SAID...      so many clients for each thing said

Ends with 77 where the system does not let this user make a connection vanish.
"""

import socket
import sys
import time

# From Linux' include/uapi/linux/tcp.h; a socket closed in repair mode sends nothing.
TCP_REPAIR = 19


def main():
    port, count, texts = int(sys.argv[1]), int(sys.argv[2]), sys.argv[3:]
    clients = []
    for text in texts:
        for _ in range(count):
            client = socket.create_connection(("127.0.0.1", port))
            client.sendall(text.encode())
            clients.append(client)
    time.sleep(0.5)
    for client in clients:
        # What has come is taken, or the system would say that it was not.
        client.setblocking(False)
        try:
            client.recv(65536)
        except BlockingIOError:
            pass
        try:
            client.setsockopt(socket.IPPROTO_TCP, TCP_REPAIR, 1)
        except OSError as error:
            print(f"no connection can be made to vanish here: {error}", file=sys.stderr)
            sys.exit(77)
        client.close()


main()
