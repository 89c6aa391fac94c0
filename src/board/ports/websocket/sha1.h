/*
 * sha1.h: SHA-1 of a block of bytes, for the handshake of WebSocket, which asks for it; not for keeping secrets.
 * SOURCE: FIPS 180, from memory.
 */
#ifndef SHA1_H
#define SHA1_H

#include <stddef.h>
#include <stdint.h>

#define SHA1_SIZE 20u /* [bytes] */

/* Precondition: bytes points at n bytes, or n is 0. Re-entrant; time proportional to n. */
void sha1(const uint8_t *bytes, size_t n, uint8_t out[SHA1_SIZE]);

#endif /* SHA1_H */
