/* SHA-1; see sha1.h. */
#include "sha1.h"

#include <string.h>

#define BLOCK 64u
#define LENGTH_AT 56u /* in the last block: number of bits, big-endian */

static uint32_t turn(uint32_t x, unsigned n)
{
    return (x << n) | (x >> (32u - n));
}

static void take_block(uint32_t h[5], const uint8_t *block)
{
    uint32_t w[80];
    for (size_t k = 0; k < 16; k++) {
        const uint8_t *p = block + 4 * k;
        w[k] = ((uint32_t)p[0] << 24) | ((uint32_t)p[1] << 16) | ((uint32_t)p[2] << 8) | p[3];
    }
    for (size_t k = 16; k < 80; k++) w[k] = turn(w[k - 3] ^ w[k - 8] ^ w[k - 14] ^ w[k - 16], 1);

    uint32_t a = h[0], b = h[1], c = h[2], d = h[3], e = h[4];
    for (size_t k = 0; k < 80; k++) {
        uint32_t mix;
        if (k < 20) mix = ((b & c) | (~b & d)) + 0x5A827999u;
        else if (k < 40) mix = (b ^ c ^ d) + 0x6ED9EBA1u;
        else if (k < 60) mix = ((b & c) | (b & d) | (c & d)) + 0x8F1BBCDCu;
        else mix = (b ^ c ^ d) + 0xCA62C1D6u;
        const uint32_t next = turn(a, 5) + mix + e + w[k];
        e = d;
        d = c;
        c = turn(b, 30);
        b = a;
        a = next;
    }
    h[0] += a;
    h[1] += b;
    h[2] += c;
    h[3] += d;
    h[4] += e;
}

void sha1(const uint8_t *bytes, size_t n, uint8_t out[SHA1_SIZE])
{
    uint32_t h[5] = {0x67452301u, 0xEFCDAB89u, 0x98BADCFEu, 0x10325476u, 0xC3D2E1F0u};
    size_t left = n;
    for (; left >= BLOCK; left -= BLOCK, bytes += BLOCK) take_block(h, bytes);

    uint8_t last[2 * BLOCK] = {0};
    if (left > 0) memcpy(last, bytes, left);
    last[left] = 0x80u;
    const size_t blocks = left < LENGTH_AT ? 1u : 2u;
    const uint64_t bits = (uint64_t)n * 8u;
    for (size_t k = 0; k < 8; k++) last[blocks * BLOCK - 1u - k] = (uint8_t)(bits >> (8u * k));
    for (size_t k = 0; k < blocks; k++) take_block(h, last + k * BLOCK);

    for (size_t k = 0; k < SHA1_SIZE; k++) out[k] = (uint8_t)(h[k / 4u] >> (8u * (3u - k % 4u)));
}
