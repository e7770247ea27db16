namespace Capacityplan.Core.Laws;

/// <summary>What the memory lets through, however many cores wait for it.</summary>
/// <remarks>
/// S. Williams, A. Waterman and D. Patterson, "Roofline: An Insightful Visual Performance Model for Multicore
/// Architectures", Communications of the ACM 52(4), 2009. Limits: one level of memory, counted in bytes that really cross
/// it; latency, caches that keep the data and other users of the memory are not in it.
/// </remarks>
public static class Roofline
{
    /// <summary>The most operations a second: min(peak, bandwidth x operations per byte).</summary>
    /// <param name="peakOperationsPerSecond">What the cores could do with all data at hand, operations a second; above 0.</param>
    /// <param name="bytesPerSecond">Memory bandwidth, bytes a second; above 0.</param>
    /// <param name="operationsPerByte">Operations done for every byte moved; 0 or more.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public static double OperationsPerSecond(double peakOperationsPerSecond, double bytesPerSecond, double operationsPerByte)
    {
        Require.Positive(peakOperationsPerSecond);
        Require.Positive(bytesPerSecond);
        Require.NotNegative(operationsPerByte);
        return Math.Min(peakOperationsPerSecond, bytesPerSecond * operationsPerByte);
    }

    /// <summary>The least seconds a run can take for its bytes alone: bytes/bandwidth.</summary>
    /// <param name="bytes">Bytes the run moves to and from memory; 0 or more.</param>
    /// <param name="bytesPerSecond">Memory bandwidth, bytes a second; above 0.</param>
    /// <exception cref="ArgumentOutOfRangeException">A figure is NaN, infinite or outside its range.</exception>
    public static double LeastSeconds(double bytes, double bytesPerSecond)
    {
        Require.NotNegative(bytes);
        Require.Positive(bytesPerSecond);
        return bytes / bytesPerSecond;
    }
}
