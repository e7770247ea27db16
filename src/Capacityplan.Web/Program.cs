using Capacityplan.Web;

CapacityplanApp.Create(args).Run();
