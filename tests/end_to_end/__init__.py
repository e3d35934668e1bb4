"""From datagram to spoken word, with real sockets and a real flight model."""
