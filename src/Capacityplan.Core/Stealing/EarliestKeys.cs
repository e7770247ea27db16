using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Capacityplan.Core.Stealing;

/// <summary>
/// The earliest of a fixed number of times, any of which may be set anew: a tree of minima sixteen wide, so that a change
/// costs a few vector comparisons and no unpredictable branch. Of equal times the lowest index comes first.
/// </summary>
internal sealed class EarliestKeys
{
    private const int Width = 16;
    private const int WidthBits = 4;

    // Level 0 holds the times, each level above the minima of the sixteens below it; the last level is one sixteen.
    private readonly double[][] _levels;

    public EarliestKeys(int count)
    {
        var levels = new List<double[]>();
        do
        {
            int padded = (count + Width - 1) / Width * Width;
            double[] level = new double[padded];
            Array.Fill(level, double.PositiveInfinity);
            levels.Add(level);
            count = padded / Width;
        }
        while (count > 1);
        _levels = [.. levels];
    }

    public double Earliest => Minimum(_levels[^1], 0);

    /// <summary>Index of the earliest time.</summary>
    public int EarliestIndex()
    {
        int index = 0;
        for (int level = _levels.Length - 1; level >= 0; level--)
        {
            double[] keys = _levels[level];
            index = index << WidthBits | IndexOf(keys, index << WidthBits, Minimum(keys, index << WidthBits));
        }

        return index;
    }

    public void Set(int index, double key)
    {
        double[] keys = _levels[0];
        keys[index] = key;
        for (int level = 1; level < _levels.Length; level++)
        {
            index >>= WidthBits;
            double minimum = Minimum(keys, index << WidthBits);
            keys = _levels[level];
            keys[index] = minimum;
        }
    }

    public void Clear()
    {
        foreach (double[] level in _levels)
            Array.Fill(level, double.PositiveInfinity);
    }

    private static double Minimum(double[] keys, int start)
    {
        ref double first = ref MemoryMarshal.GetReference(keys.AsSpan(start, Width));
        Vector256<double> low = Vector256.MinNative(Vector256.LoadUnsafe(ref first), Vector256.LoadUnsafe(ref first, 4));
        Vector256<double> high = Vector256.MinNative(Vector256.LoadUnsafe(ref first, 8), Vector256.LoadUnsafe(ref first, 12));
        Vector256<double> four = Vector256.MinNative(low, high);
        Vector128<double> two = Vector128.MinNative(four.GetLower(), four.GetUpper());
        double left = two.ToScalar();
        double right = two.GetElement(1);
        return left < right ? left : right;
    }

    private static int IndexOf(double[] keys, int start, double key)
    {
        ref double first = ref MemoryMarshal.GetReference(keys.AsSpan(start, Width));
        Vector256<double> wanted = Vector256.Create(key);
        uint found = Vector256.Equals(Vector256.LoadUnsafe(ref first), wanted).ExtractMostSignificantBits()
            | Vector256.Equals(Vector256.LoadUnsafe(ref first, 4), wanted).ExtractMostSignificantBits() << 4
            | Vector256.Equals(Vector256.LoadUnsafe(ref first, 8), wanted).ExtractMostSignificantBits() << 8
            | Vector256.Equals(Vector256.LoadUnsafe(ref first, 12), wanted).ExtractMostSignificantBits() << 12;
        return System.Numerics.BitOperations.TrailingZeroCount(found);
    }
}
