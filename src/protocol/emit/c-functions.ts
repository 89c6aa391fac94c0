/** Encoders and decoders in C, byte by byte with shifts: packing, alignment and byte order never come up. */
import { endsFrame, type Field, type Frame, isClosed } from '../dsl.ts';
import { comment } from './c-comments.ts';
import { constantName, snake, typeName } from './words.ts';

/** What the decoders share. */
export const READ_WORD = [
  '/* Four bytes, the low one first. */',
  'static inline uint32_t phantom_u32_at(const uint8_t *p)',
  '{',
  '    return (uint32_t)p[0] | ((uint32_t)p[1] << 8) | ((uint32_t)p[2] << 16) | ((uint32_t)p[3] << 24);',
  '}',
];

/** `phantom_<frame>_encode`: structure to payload. */
export function writeFunction(frame: Frame): string[] {
  const type = typeName(frame);
  const { lines, list } = walk(frame, writeLines);
  const room = constantName(frame.name) + (list ? '_SIZE_MOST' : '_SIZE');
  const limit = list ? ` A ${list}_count above its limit counts as that.` : '';
  return [
    ...comment(
      `Writes the payload of ${frame.name}. Precondition: out has room for PHANTOM_${room} bytes. Returns the number of bytes written; cannot fail.${limit}`,
    ),
    `static inline size_t ${type}_encode(const ${type} *m, uint8_t *out)`,
    '{',
    ...(lines.length > 0 && list ? [`    size_t o = ${frame.bytes};`] : []),
    ...lines,
    `    return ${list ? 'o' : `PHANTOM_${constantName(frame.name)}_SIZE`};`,
    '}',
  ];
}

/** `phantom_<frame>_decode`: payload to structure. */
export function readFunction(frame: Frame): string[] {
  const type = typeName(frame);
  const { lines, list, step } = walk(frame, readOrZero);
  const size = `PHANTOM_${constantName(frame.name)}_SIZE`;
  const whole = step > 1 ? [`    if ((size - ${size}) % ${step}u != 0u) return 0;`] : [];
  const least = frame.leastBytes < frame.bytes ? `${size}_LEAST` : size;
  const wrong = list ? `size < ${size} || size > ${size}_MOST` : `size < ${least}`;
  const newer = isClosed(frame) ? '' : ' Bytes behind the last member come from a newer sender and are not read.';
  const older = least === size ? '' : ' What an older sender left out reads 0.';
  return [
    ...comment(
      `Reads the payload of ${frame.name}. Returns 1, or 0 when size is not one of this frame; then *m is as it was.${newer}${older}`,
    ),
    `static inline int ${type}_decode(${type} *m, const uint8_t *in, size_t size)`,
    '{',
    `    if (${wrong}) return 0;`,
    ...whole,
    ...lines,
    '    return 1;',
    '}',
  ];
}

function walk(frame: Frame, linesOf: (name: string, field: Field, o: number) => string[]) {
  const lines: string[] = [];
  let o = 0;
  let list = '';
  let step = 1;
  for (const [name, field] of Object.entries(frame.fields)) {
    lines.push(...linesOf(name, field, o));
    if (endsFrame(field)) {
      list = snake(name);
      step = field.size;
    }
    o += field.size;
  }
  return { lines, list, step };
}

function writeLines(name: string, field: Field, o: number): string[] {
  const bytes = Array.from({ length: field.size }, (_, k) => k);
  if (field.kind === 'pad') return bytes.map((k) => `    out[${o + k}] = 0; /* reserved */`);
  const count = `    const uint8_t count = m->${snake(name)}_count > ${field.most}u ? ${field.most}u : m->${snake(name)}_count;`;
  if (field.kind === 'text') {
    return [count, `    memcpy(out + o, m->${snake(name)}, count);`, '    o += count;'];
  }
  if (field.kind === 'f32') {
    return [
      '    {',
      '        uint32_t bits;',
      `        memcpy(&bits, &m->${snake(name)}, sizeof bits); /* float is IEEE 754 binary32 */`,
      ...bytes.map((k) => `        out[${o + k}] = (uint8_t)${k === 0 ? 'bits' : `(bits >> ${8 * k})`};`),
      '    }',
    ];
  }
  if (field.kind === 'f32s') {
    return [
      count,
      '    for (uint8_t k = 0; k < count; k++) {',
      '        uint32_t bits;',
      `        memcpy(&bits, &m->${snake(name)}[k], sizeof bits); /* float is IEEE 754 binary32 */`,
      ...bytes.map((k) => `        out[o++] = (uint8_t)(bits${k === 0 ? '' : ` >> ${8 * k}`});`),
      '    }',
    ];
  }
  return bytes.map(
    (k) => `    out[${o + k}] = (uint8_t)${k === 0 ? `m->${snake(name)}` : `(m->${snake(name)} >> ${8 * k})`};`,
  );
}

/** An appended field that an older sender left out reads 0. */
function readOrZero(name: string, field: Field, o: number): string[] {
  const lines = readLines(name, field, o);
  if (!field.appended || lines.length === 0) return lines;
  const zero = `    if (size < ${o + field.size}u) m->${snake(name)} = 0;`;
  return [zero, '    else {', ...lines.map((line) => `    ${line}`), '    }'];
}

function readLines(name: string, field: Field, o: number): string[] {
  const to = `m->${snake(name)}`;
  if (field.kind === 'u8') return [`    ${to} = in[${o}];`];
  if (field.kind === 'u16') return [`    ${to} = (uint16_t)(in[${o}] | (in[${o + 1}] << 8));`];
  if (field.kind === 'u32') return [`    ${to} = ${wordAt(o)};`];
  if (field.kind === 'pad') return [];
  if (field.kind === 'text') {
    return [
      `    ${to}_count = (uint8_t)(size - ${o}u);`,
      `    memcpy(${to}, in + ${o}, ${to}_count);`,
      `    ${to}[${to}_count] = 0;`,
    ];
  }
  if (field.kind === 'f32') {
    return [
      '    {',
      `        const uint32_t bits = ${wordAt(o)};`,
      `        memcpy(&${to}, &bits, sizeof bits);`,
      '    }',
    ];
  }
  return [
    `    ${to}_count = (uint8_t)((size - ${o}u) / 4u);`,
    `    for (uint8_t k = 0; k < ${to}_count; k++) {`,
    `        const uint32_t bits = phantom_u32_at(in + ${o} + 4 * k);`,
    `        memcpy(&${to}[k], &bits, sizeof bits);`,
    '    }',
  ];
}

function wordAt(o: number): string {
  return `phantom_u32_at(in + ${o})`;
}
