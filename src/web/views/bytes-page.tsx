import type { FC } from 'hono/jsx';
import type { LatestReading } from '../../agent/store/rows.js';
import { fieldWords, runsWords } from '../../checks/byte-words.js';
import type { PageMarks } from '../../checks/figure-bytes.js';
import { capital } from '../../checks/letters.js';
import { metricInfo, metricTitle } from '../../checks/metrics.js';
import type { Reading } from '../../checks/reading.js';
import { pageWords, recordRowOf } from '../../checks/record-words.js';
import { formatReading } from '../../checks/units.js';
import type { BytesView } from '../bytes-view.js';
import { bytesHref, partHref, partTitle } from '../part-name.js';
import { HexTable } from './hex-table.js';
import { Age } from './time.js';

export interface BytesPageProps {
  readonly view: BytesView;
  readonly nowMs: number;
  /** Every row of the pages, not only those that matter for the figure. */
  readonly all: boolean;
}

export function figureTitle({ part, name }: BytesView): string {
  const title = part.kind === 'drive' ? metricTitle(name.metric) : metricInfo(name.metric).label;
  return name.place === '' ? title : `${title}, ${name.place}`;
}

export const BytesPage: FC<BytesPageProps> = (props) => {
  const { view } = props;
  return (
    <>
      <div class="title">
        <p>
          <a href={partHref(view.part.name)}>{partTitle(view.part)}</a>
        </p>
        <h1>{figureTitle(view)}</h1>
        <Told {...props} />
      </div>
      {view.found === null ? <NoBytes view={view} /> : <Pages {...props} />}
    </>
  );
};

/** What the bytes tell, and the newest reading where that came from elsewhere. */
const Told: FC<BytesPageProps> = ({ view, nowMs }) => {
  const { found, newest } = view;
  const told = found?.reading;
  return (
    <>
      {told === undefined ? null : (
        <p class="lede">
          {formatReading(told)}, from {told.source}.{told.why === undefined ? '' : ` ${told.why}.`}
        </p>
      )}
      {newest === null || isTheSame(newest, told) ? null : (
        <p>
          Newest reading: {formatReading(newest)}, <Age wallMs={newest.lastWallMs} nowMs={nowMs} />,
          from {newest.source}.
        </p>
      )}
    </>
  );
};

function isTheSame(newest: LatestReading, told: Reading | undefined): boolean {
  const { state, value, source } = newest;
  return state === told?.state && value === told.value && source === told.source;
}

const NoBytes: FC<{ view: BytesView }> = ({ view }) => (
  <section aria-labelledby="bytes">
    <h2 id="bytes">No bytes</h2>
    <p>{whyNone(view)}</p>
  </section>
);

function whyNone({ part, keepsBytes }: BytesView): string {
  if (part.kind !== 'drive') return 'It comes from the kernel or the board, not from a record.';
  return keepsBytes
    ? 'No record of the drive tells it: it comes from the kernel, by the source named above.'
    : 'No record of this drive is kept as bytes yet. The next reading of all its counters keeps them.';
}

const Pages: FC<BytesPageProps> = (props) => {
  const marks = props.view.found?.pages ?? [];
  if (marks.length === 0) {
    return (
      <p>No byte of the kept records decides it: the record that would tell it is not there.</p>
    );
  }
  return (
    <>
      <Legend />
      {marks.map((one) => (
        <Page {...props} marks={one} isAlone={marks.flatMap(({ fields }) => fields).length === 1} />
      ))}
      <EveryByte {...props} />
    </>
  );
};

const Legend: FC = () => (
  <p class="legend">
    <b class="byte-figure">2A</b> holds the figure · <i class="byte-deciding">2A</i> decides whether
    it counts · <span class="byte-checksum">2A</span> checksum of the page. Little-endian: the
    lowest byte of a number stands first; big-endian: the highest.
  </p>
);

interface OnePage extends BytesPageProps {
  readonly marks: PageMarks;
  readonly isAlone: boolean;
}

const Page: FC<OnePage> = ({ view, nowMs, all, marks, isAlone }) => {
  const { page, fields, deciding, checksums } = marks;
  const kept = view.pageAt(page);
  const basis = recordRowOf(page)?.source;
  const checked = checksums.map((at) => ({ from: at, to: at }));
  return (
    <section class="bytes">
      <h2>{capital(pageWords(page))}</h2>
      <ul class="plain">
        {fields.map((field) => (
          <li>Holds the figure: {fieldWords(field, page.data, isAlone)}</li>
        ))}
        {deciding.length === 0 ? null : <li>Decides whether it counts: {runsWords(deciding)}</li>}
        {checked.length === 0 ? null : <li>Checksum of the page: {runsWords(checked)}</li>}
      </ul>
      <HexTable marks={marks} all={all} />
      <p class="quiet">
        {kept === null ? null : (
          <>
            Read <Age wallMs={kept.at.wallMs} nowMs={nowMs} />,{' '}
          </>
        )}
        {page.data.length} bytes{basis === undefined ? '' : `, decoded by: ${basis}`}.
        {kept === null ? null : (
          <span class="why">
            SHA-256 <code>{kept.sha256}</code>
          </span>
        )}
      </p>
    </section>
  );
};

const EveryByte: FC<BytesPageProps> = ({ view, all }) => (
  <p>
    <a href={`${bytesHref(view.part.name, view.name)}${all ? '' : '&all=1'}`}>
      {all ? 'Show only the rows that matter' : 'Show every byte of these pages'}
    </a>
  </p>
);
