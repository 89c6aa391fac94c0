/*
 * Test program: phantom_stream.h on an object with the shape of a Stream whose bytes are standard input and output, in
 * pieces of 1 to 7 bytes each way. With --deaf it takes no more bytes after the first 100. At the end: "handled unsent
 * flushes" on standard error.
 */
#include <cstdio>
#include <cstring>

#include "phantom_stream.h"
#include "starter.h"

class FakeStream {
public:
    explicit FakeStream(bool deaf) : deaf_(deaf) {}
    bool more() { return refill(); }
    int available() { return static_cast<int>(in_ - at_); }
    int read() { return at_ < in_ ? bytes_[at_++] : -1; }
    size_t write(const uint8_t *bytes, size_t n)
    {
        if (deaf_ && written_ > 100) return 0;
        const size_t part = n < 1 + written_ % 7 ? n : 1 + written_ % 7;
        written_ += part;
        return std::fwrite(bytes, 1, part, stdout);
    }
    void flush() { flushes++; }
    unsigned flushes = 0;

private:
    bool refill()
    {
        at_ = 0;
        in_ = std::fread(bytes_, 1, 1 + round_++ % 7, stdin);
        return in_ > 0;
    }
    bool deaf_;
    uint8_t bytes_[8];
    size_t at_ = 0;
    size_t in_ = 0;
    size_t round_ = 0;
    size_t written_ = 0;
};

int main(int argc, char **argv)
{
    static starter drill;
    FakeStream fake(argc > 1 && std::strcmp(argv[1], "--deaf") == 0);
    PhantomStream<FakeStream> port(fake);
    starter_init(&drill, STARTER_SIX_STEP, "starter", port.put, &port);
    phantom_board_hello(&drill.board);
    unsigned handled = 0;
    while (fake.more()) handled += port.poll(drill.board);
    std::fprintf(stderr, "%u %u %u\n", handled, static_cast<unsigned>(port.unsent()), fake.flushes);
    return 0;
}
