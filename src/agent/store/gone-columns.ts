/**
 * The fourth migration: since when a part is gone, which is the look at the box that did not find
 * it. What was last seen in an earlier boot than the newest is gone since it was last seen.
 */
export const goneColumns = `
ALTER TABLE part ADD COLUMN gone_boot INTEGER;
ALTER TABLE part ADD COLUMN gone_mono_ms INTEGER;
ALTER TABLE part ADD COLUMN gone_wall_ms INTEGER;
UPDATE part SET gone_boot = last_boot, gone_mono_ms = last_mono_ms, gone_wall_ms = last_wall_ms
  WHERE last_boot < (SELECT max(last_boot) FROM part);
`;
