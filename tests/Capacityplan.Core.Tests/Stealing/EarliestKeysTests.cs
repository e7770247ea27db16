using Capacityplan.Core.Stealing;

namespace Capacityplan.Core.Tests.Stealing;

public sealed class EarliestKeysTests
{
    [Theory]
    [InlineData(1)]
    [InlineData(16)]
    [InlineData(17)]
    [InlineData(300)]
    [InlineData(5000)]
    public void EarliestIndex_KeysSetInAnyOrder_IsThatOfTheSmallest(int count)
    {
        var keys = new EarliestKeys(count);
        double[] plain = [.. Enumerable.Repeat(double.PositiveInfinity, count)];
        var random = new Random(count);
        Assert.Equal(double.PositiveInfinity, keys.Earliest);
        for (int i = 0; i < 2000; i++)
        {
            int index = random.Next(count);
            // Few different values, so that ties and infinities come up.
            double key = random.Next(10) == 0 ? double.PositiveInfinity : random.Next(50);
            keys.Set(index, key);
            plain[index] = key;
            Assert.Equal(plain.Min(), keys.Earliest);
            Assert.Equal(Array.IndexOf(plain, plain.Min()), keys.EarliestIndex());
        }
    }
}
