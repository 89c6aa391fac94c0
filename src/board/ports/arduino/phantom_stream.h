/*
 * phantom_stream.h: a board on any object with the shape of an Arduino Stream: a UART, USB, a TCP client.
 *
 * SCOPE. Header only, C++11, no allocation, no virtual call of its own, no #include but the kit. Reads what is there and
 * never waits for more; so other work may stand beside it in loop(), as long as it stays short: the drill waits.
 *
 * RECIPE.
 *   static PhantomStream<Stream> port(Serial);
 *   static starter drill;                       // or a phantom_board of your own
 *   void setup() {
 *     Serial.begin(115200);
 *     starter_init(&drill, STARTER_SIX_STEP, "sketch", port.put, &port);
 *     phantom_board_hello(&drill.board);
 *   }
 *   void loop() { port.poll(drill.board); }
 *
 * WHAT THE OBJECT HAS TO HAVE: int available(), int read(), size_t write(const uint8_t *, size_t), void flush(). read()
 * may return -1 when nothing is there.
 *
 * FLUSH. After each frame flush() is called, because USB keeps back a packet that is not full. On a UART it waits until
 * the last bit is out; give false as the second argument of the constructor to save that time.
 *
 * PITFALLS. Do not wait for `Serial` to be true: a host that leaves DTR low never makes it so (USB.md). Print nothing on
 * the same object; phantom_board_note carries text. A buffer for what arrives of less than 38 bytes (one Sense) loses
 * bytes while a tick is computed. Opening the port resets many boards; the drill greets until they have booted.
 *
 * LIFETIMES. The object lives as long as the port, the port as long as the boards that were given it. THREADS. All in
 * one context, as phantom_board.h says.
 */
#ifndef PHANTOM_STREAM_H
#define PHANTOM_STREAM_H

#include "phantom_board.h"

template <class Stream> class PhantomStream {
public:
    /* Nothing is read or sent. */
    explicit PhantomStream(Stream &stream, bool flushes = true) : stream_(stream), flushes_(flushes), unsent_(0) {}

    /* For phantom_board_init, with the address of this port as `port`. */
    static void put(void *port, const uint8_t *bytes, size_t n) { static_cast<PhantomStream *>(port)->send(bytes, n); }

    /* Gives the board every byte that has arrived. Returns how many frames were answered. */
    unsigned poll(phantom_board &board)
    {
        unsigned handled = 0;
        while (stream_.available() > 0) {
            const int byte = stream_.read();
            if (byte < 0) break;
            handled += static_cast<unsigned>(phantom_board_push(&board, static_cast<uint8_t>(byte)));
        }
        return handled;
    }

    /* Bytes that the object would not take: more than 0 means that the drill has lost an answer. */
    uint32_t unsent() const { return unsent_; }

private:
    /* write() may take a part; when it takes nothing at all, nobody is there. */
    void send(const uint8_t *bytes, size_t n)
    {
        while (n > 0) {
            const size_t taken = stream_.write(bytes, n);
            if (taken == 0 || taken > n) {
                unsent_ += static_cast<uint32_t>(n);
                return;
            }
            bytes += taken;
            n -= taken;
        }
        if (flushes_) stream_.flush();
    }

    Stream &stream_;
    bool flushes_;
    uint32_t unsent_;
};

#endif /* PHANTOM_STREAM_H */
