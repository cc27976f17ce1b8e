import { growthCheck } from './part-growth.js';

const shared = { sinceBoot: true, risesMin: 1 } as const;

/**
 * Claim: no errors come on the card's PCI link beyond a few corrected ones. Counted within each
 * boot from its first look on, because both ends count while the link starts. Up to 10 corrected
 * errors are left alone (our choice: links send again now and then); more are soon, and one that
 * was not corrected is for today. The sums of both ends of the link are judged; the kinds of error
 * are readings of their own. Silent where the kernel counts nothing.
 */
export const pciErrors = growthCheck({
  code: 'pci-errors-grew',
  claim: 'No errors come on its PCI link',
  kinds: ['disk-controller', 'network-card', 'drive'],
  metrics: [
    { ...shared, metric: 'pci-errors-fatal', freeGrowth: 0, urgency: () => 'today' },
    { ...shared, metric: 'pci-errors-not-fatal', freeGrowth: 0, urgency: () => 'today' },
    { ...shared, metric: 'pci-errors-corrected', freeGrowth: 10, urgency: () => 'soon' },
  ],
  isPlaceJudged: (place) => place === '' || place === 'port above',
});
