using System.Numerics;
using Capacityplan.Core.Jobs;

namespace Capacityplan.Core.Stealing;

/// <summary>
/// The units of a phase drawn for one replicate and kept as prefix sums: eight bytes a unit, and past
/// <see cref="MostSums"/> units one sum for every block of 2, 4, 8 ... units, so that memory stays bounded.
/// </summary>
/// <remarks>
/// Every unit is drawn in either case and the total and the span are those of the drawn units. In blocks one thing is
/// approximated: a range that begins or ends inside a block is taken to hold its share of the block's seconds.
/// </remarks>
internal sealed class DrawnUnits
{
    /// <summary>Units past which sums are kept for blocks only.</summary>
    public const long MostSums = 20_000_000;

    private const int ChunkUnits = 2048;

    private readonly ParallelPhase _phase;
    private readonly double[] _chunk = new double[ChunkUnits];

    /// <summary>Makes room for the units of a phase.</summary>
    /// <param name="phase">The phase.</param>
    /// <param name="mostSums">Units past which sums are kept for blocks only; 1 or more.</param>
    public DrawnUnits(ParallelPhase phase, long mostSums = MostSums)
    {
        _phase = phase;
        while (phase.Units >> Shift > mostSums)
            Shift++;
        Sums = new double[(phase.Units - 1 >> Shift) + 2];
    }

    /// <summary>Sums are kept at every 2^Shift-th unit.</summary>
    public int Shift { get; }

    /// <summary>Sums[i] is the seconds of the first i blocks; the last block may be short.</summary>
    public double[] Sums { get; }

    /// <summary>T_inf of the drawn units, seconds.</summary>
    public double SpanSeconds { get; private set; }

    /// <summary>Draws all units anew.</summary>
    /// <param name="random">Where durations come from.</param>
    /// <param name="cancellation">Looked at every few thousand units.</param>
    public void Draw(RandomSource random, CancellationToken cancellation = default)
    {
        var leaves = new LongestLeaf(_phase.Tree, _phase.Costs);
        long mask = (1L << Shift) - 1;
        long drawn = 0;
        // Summed chunk by chunk, the chunks with Neumaier's correction: a plain running sum of millions of equal numbers drifts.
        double sum = 0, correction = 0;
        while (drawn < _phase.Units)
        {
            cancellation.ThrowIfCancellationRequested();
            Span<double> chunk = _chunk.AsSpan(0, (int)Math.Min(ChunkUnits, _phase.Units - drawn));
            _phase.UnitSizes.Fill(random, chunk);
            leaves.Add(chunk);
            double before = sum + correction;
            double local = 0;
            if (Shift == 0)
            {
                Span<double> sums = Sums.AsSpan((int)drawn + 1, chunk.Length);
                for (int i = 0; i < chunk.Length; i++)
                {
                    local += chunk[i];
                    sums[i] = before + local;
                }

                drawn += chunk.Length;
            }
            else
            {
                foreach (double unit in chunk)
                {
                    local += unit;
                    drawn++;
                    if ((drawn & mask) == 0)
                        Sums[drawn >> Shift] = before + local;
                }
            }

            double next = sum + local;
            correction += sum >= local ? sum - next + local : local - next + sum;
            sum = next;
        }

        Sums[^1] = sum + correction;
        SpanSeconds = leaves.SpanSeconds;
    }

    /// <summary>Follows the leaves of a tree, in order, while units stream by, and keeps the longest chain through any of them.</summary>
    private ref struct LongestLeaf
    {
        private readonly RangeTree _tree;
        private readonly SchedulingCosts _costs;
        private readonly double _longestPath;
        // Every range above this depth forks; at it, those of one unit more than the grain still do, once.
        private readonly int _depth;
        // Number of the current range at that depth, and the same number with its bits in reverse: bit d tells the half taken at depth d.
        private long _range = -1;
        private long _path;
        private long _passed;
        private long _leftInLeaf;
        private long _secondLeaf;
        private double _seconds;

        public LongestLeaf(RangeTree tree, SchedulingCosts costs)
        {
            _tree = tree;
            _costs = costs;
            while (tree.Units >> _depth > tree.Grain)
                _depth++;
            _longestPath = tree.SpanSeconds(0, costs);
            NextLeaf();
        }

        public double SpanSeconds { get; private set; }

        public void Add(ReadOnlySpan<double> units)
        {
            if (_tree.Grain == 1)
            {
                // Every unit is a leaf of its own.
                foreach (double unit in units)
                {
                    if (unit + _longestPath > SpanSeconds)
                        SpanSeconds = Math.Max(SpanSeconds, unit + PathSeconds());
                    _passed++;
                }

                return;
            }

            while (units.Length > 0)
            {
                int taken = (int)Math.Min(units.Length, _leftInLeaf);
                foreach (double unit in units[..taken])
                    _seconds += unit;
                units = units[taken..];
                _leftInLeaf -= taken;
                if (_leftInLeaf == 0)
                {
                    if (_seconds + _longestPath > SpanSeconds)
                        SpanSeconds = Math.Max(SpanSeconds, _seconds + PathSeconds());
                    NextLeaf();
                }

                _passed += taken;
            }
        }

        // Halving n rounds down to the left and up to the right, so that the range reached by halves b1, b2 .. bd holds
        // floor((N + b1 + 2 b2 + ... + 2^(d-1) bd)/2^d) units.
        private readonly long RangeUnits(int depth) => _tree.Units + (_path & (1L << depth) - 1) >> depth;

        private void NextLeaf()
        {
            _seconds = 0;
            if (_secondLeaf > 0)
            {
                (_leftInLeaf, _secondLeaf) = (_secondLeaf, 0);
                return;
            }

            _range++;
            if (_range > 0)
            {
                // Adding one turns the low ones and the zero above them over, which in reverse are the bits from the top.
                int turned = Math.Min(_depth, BitOperations.TrailingZeroCount(_range) + 1);
                _path ^= (1L << turned) - 1 << _depth - turned;
            }

            long units = RangeUnits(_depth);
            _secondLeaf = units > _tree.Grain ? units - units / 2 : 0;
            _leftInLeaf = units - _secondLeaf;
        }

        // Forks, joins and combines of all ranges around the current leaf.
        private readonly double PathSeconds()
        {
            long low = 0, units = _tree.Units, forks = 0, joined = 0;
            while (units > _tree.Grain)
            {
                forks++;
                joined += units;
                long left = units / 2;
                bool goesRight = _passed >= low + left;
                low += goesRight ? left : 0;
                units = goesRight ? units - left : left;
            }

            return forks * (_costs.ForkSeconds + _costs.JoinSeconds) + joined * _costs.CombineSecondsPerUnit;
        }
    }
}
