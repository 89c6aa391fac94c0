/**
 * A board for rate-split as a program: node --import tsx paced-board.ts [tcp] [ODDITY [AFTER]].
 * Without `tcp` it speaks on standard input and output; with it it listens on a free port of this machine and says which.
 * After AFTER Reports it shows its oddity: `sleeps` (answers nothing more), `forgets` (every fourth Report is left out),
 * `stamps` (answers a number that nobody asked).
 */
import { type AddressInfo, createServer } from 'node:net';
import { ServedPaced } from '../../src/links/served-paced.ts';
import { encodeReport } from '../../src/protocol/codec.ts';
import { REPORT } from '../../src/protocol/frames.ts';
import { PAYLOAD_AT } from '../../src/protocol/packet.ts';
import { StreamSender } from '../../src/protocol/stream.ts';
import { AveragedMotor } from '../support/paced-motor.ts';

const args = process.argv.slice(2);
const tcp = args[0] === 'tcp';
const [oddity = '', after = '0'] = tcp ? args.slice(1) : args;
/** Place of the frame id in a stream packet, behind delimiter and first stuffing byte. */
const ID_AT = 2;

function serve(write: (bytes: Uint8Array) => void): (chunk: Uint8Array) => void {
  let reports = 0;
  const board = new ServedPaced(new AveragedMotor(), (bytes) => {
    const isReport = bytes[ID_AT] === REPORT.id;
    if (isReport && ++reports > Number(after)) {
      if (oddity === 'sleeps') return;
      if (oddity === 'forgets' && reports % 4 === 0) return;
      if (oddity === 'stamps') {
        const sender = new StreamSender(4096);
        const watch = Float32Array.of(0);
        const zeros = { state: 0, trip: 0, angle: 0, speed: 0, torque: 0, drawn: 0, loss: 0, busy: 0, watch };
        write(sender.wrap(REPORT.id, encodeReport({ ...zeros, number: 999 }, sender.packet, PAYLOAD_AT)).slice());
        return;
      }
    }
    write(bytes.slice());
  });
  return (chunk) => {
    // A board that sleeps answers no sign of life either.
    if (oddity !== 'sleeps' || reports <= Number(after)) board.receiver.push(chunk);
  };
}

if (tcp) {
  const server = createServer((socket) => {
    socket.setNoDelay(true);
    socket.on('error', () => undefined);
    socket.on(
      'data',
      serve((bytes) => socket.write(bytes)),
    );
  });
  server.listen(0, '127.0.0.1', () => {
    process.stdout.write(`listening on 127.0.0.1:${(server.address() as AddressInfo).port}\n`);
  });
} else {
  process.stdin.on(
    'data',
    serve((bytes) => process.stdout.write(bytes)),
  );
}
