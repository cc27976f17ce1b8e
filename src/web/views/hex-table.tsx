import type { FC } from 'hono/jsx';
import { runWords } from '../../checks/byte-words.js';
import type { PageMarks } from '../../checks/figure-bytes.js';
import { type HexByte, hexRows } from '../../checks/hex-rows.js';
import { pageWords } from '../../checks/record-words.js';

const columns = Array.from({ length: 16 }, (_, index) => index);

/** A page in rows of 16 bytes; a mark is told by weight, line and words, never by colour alone. */
export const HexTable: FC<{ marks: PageMarks; all: boolean }> = ({ marks, all }) => (
  <table class="hex">
    <caption class="visually-hidden">Bytes of {pageWords(marks.page)}, in hexadecimal</caption>
    <thead>
      <tr>
        <th scope="col">Byte</th>
        {columns.map((column) => (
          <th scope="col">+{column}</th>
        ))}
      </tr>
    </thead>
    <tbody>
      {hexRows({ ...marks, data: marks.page.data }, all).map((row) =>
        'leftOut' in row ? (
          <tr>
            <td colspan={17} class="left-out">
              {runWords(row.leftOut)}: nothing of this figure
            </td>
          </tr>
        ) : (
          <tr>
            <th scope="row">{row.offset}</th>
            {row.bytes.map((byte) => (
              <Byte byte={byte} />
            ))}
          </tr>
        ),
      )}
    </tbody>
  </table>
);

const Byte: FC<{ byte: HexByte }> = ({ byte }) => {
  if (byte.mark === null) return <td>{byte.hex}</td>;
  if (byte.mark === 'checksum') {
    return (
      <td>
        <span class="byte-checksum">{byte.hex}</span>
        <span class="visually-hidden"> checksum</span>
      </td>
    );
  }
  if (byte.mark === 'deciding') {
    return (
      <td>
        <i class="byte-deciding">{byte.hex}</i>
        <span class="visually-hidden"> decides</span>
      </td>
    );
  }
  return (
    <td>
      <b class="byte-figure">{byte.hex}</b>
      <span class="visually-hidden"> figure</span>
    </td>
  );
};
