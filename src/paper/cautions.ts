/** What can hurt people or things, in a sentence or two each. */
export const cautions: readonly string[] = [
  "Use a low-voltage supply with its current limited. Nothing on this board goes to the mains: what does is work for " +
    "qualified people, under local codes.",
  "Switch off before you plug or pull a chip, a wire or a cable. An input that is driven before its chip has a supply can " +
    "latch the chip up, and then only the current limit saves it.",
  "Touch ground before you touch a chip: static kills CMOS inputs, often without a sign. Leave chips in their conductive " +
    "foam until their turn comes.",
  "Leave monitors with picture tubes closed: they stay charged long after they are unplugged. Inside is work for " +
    "qualified people.",
  "An old monitor for one fixed line rate can be damaged by another. Check the rate on paper, and try a monitor first " +
    "that refuses what it cannot follow.",
  "Pictures that flash more than three times a second can bring on seizures (WCAG 2.2, criterion 2.3.1). Warn those who watch.",
];
