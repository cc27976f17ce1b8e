/**
 * What ended a finding, and whether a person said that its cause is dealt with. Before, having seen
 * it stood for both where its code allowed that.
 */
export const findingColumns = `
ALTER TABLE finding ADD COLUMN cleared_why TEXT;
ALTER TABLE finding ADD COLUMN accounted_for INTEGER NOT NULL DEFAULT 0
  CHECK (accounted_for IN (0, 1));
`;
